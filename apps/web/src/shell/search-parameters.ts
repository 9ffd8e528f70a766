/**
 * Addresses are plain: `?kind=2-3&loadMin=40`. Values stay text here; the schema of each page turns them into numbers.
 */
export function parseSearch(search: string): Record<string, string> {
  return Object.fromEntries(new URLSearchParams(search));
}

type SearchValue = string | number | boolean | null | undefined;

/** The opposite of parseSearch. What is empty is left out, so that an address says only what differs from the default. */
export function stringifySearch(search: Record<string, SearchValue>): string {
  const parameters = new URLSearchParams();
  for (const [name, value] of Object.entries(search)) {
    if (value === undefined || value === null || value === '') continue;
    parameters.set(name, String(value));
  }
  const text = parameters.toString();
  return text === '' ? '' : `?${text}`;
}

/** Reads a JSON array; says in words why a text is none. What its entries hold is the server's to judge. */
export function parseJsonList(text: string): { readonly list: readonly unknown[] } | { readonly fault: string } {
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch (error) {
    return { fault: `This is not JSON: ${error instanceof Error ? error.message : String(error)}` };
  }
  if (Array.isArray(value)) return { list: value };
  return { fault: 'The outermost value must be an array: [ … ]' };
}

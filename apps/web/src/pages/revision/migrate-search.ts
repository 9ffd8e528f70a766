import { z } from 'zod';

/** View of the page that moves a revision to another layout version: the version, and pairs `old:new` of table ids. */
export const migrateSearch = z.object({
  to: z.coerce.number().int().min(1).optional().catch(undefined),
  renames: z.string().optional().catch(undefined),
});

/** Renames of an address; pairs that are none are dropped. */
export function parseRenames(text: string | undefined): Record<string, string> {
  const pairs = (text ?? '').split(',').map((pair) => pair.split(':'));
  return Object.fromEntries(pairs.filter((pair): pair is [string, string] => pair.length === 2 && !pair.includes('')));
}

export function stringifyRenames(renames: Readonly<Record<string, string>>): string | undefined {
  const pairs = Object.entries(renames).map(([from, to]) => `${from}:${to}`);
  return pairs.length === 0 ? undefined : pairs.join(',');
}

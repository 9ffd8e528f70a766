import type { AuditEntry } from '@syncline/store';
import { csvLine } from '../csv.js';
import { toInstant } from '../format.js';

type Column = readonly [head: string, cell: (entry: AuditEntry) => string | number | null];

const COLUMNS: readonly Column[] = [
  ['Entry', (entry) => entry.id],
  ['At (UTC)', (entry) => toInstant(entry.atMs)],
  ['Who', (entry) => entry.actorName],
  ['Kind of who', (entry) => entry.actorKind],
  ['Id of who', (entry) => entry.actorId],
  ['Action', (entry) => entry.action],
  ['Subject', (entry) => entry.target],
  ['Detail', (entry) => entry.detail],
  ['Before', (entry) => entry.before && JSON.stringify(entry.before)],
  ['After', (entry) => entry.after && JSON.stringify(entry.after)],
  ['Request', (entry) => entry.requestId],
  ['Hash', (entry) => entry.hash],
];

type Batches = AsyncIterable<readonly AuditEntry[]>;

export async function* auditCsv(batches: Batches): AsyncGenerator<string> {
  yield csvLine(COLUMNS.map(([head]) => head));
  for await (const entries of batches) {
    yield entries.map((entry) => csvLine(COLUMNS.map(([, cell]) => cell(entry)))).join('');
  }
}

/** One entry a line, as the hashes are made over it: `npm run verify:audit -- audit.jsonl` checks such a file. */
export async function* auditLines(batches: Batches): AsyncGenerator<string> {
  for await (const entries of batches) yield entries.map((entry) => `${JSON.stringify(entry)}\n`).join('');
}

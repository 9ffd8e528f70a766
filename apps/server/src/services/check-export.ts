import { auditState } from '@syncline/contract';
import { ChainCheck, type ChainVerdict } from '@syncline/store';
import { z } from 'zod';

/** The file is no export of an audit trail. */
export class UnusableExportError extends Error {
  override readonly name = 'UnusableExportError';
}

/** An entry as a line of the export has it. */
const line = z.strictObject({
  id: z.number().int(),
  atMs: z.number().int(),
  actorKind: z.enum(['person', 'token', 'system']),
  actorId: z.string().nullable(),
  actorName: z.string(),
  action: z.string(),
  target: z.string(),
  detail: z.string(),
  requestId: z.string(),
  before: auditState.nullable(),
  after: auditState.nullable(),
  hash: z.string(),
});

/** Checks an export line by line, past the server that made it. Throws `UnusableExportError` where a line is none. */
export async function checkExport(
  lines: AsyncIterable<string>,
  headHash?: string,
): Promise<{ readonly verdict: ChainVerdict; readonly hasHead: boolean }> {
  const chain = new ChainCheck();
  let hasHead = headHash === undefined;
  let number = 0;
  for await (const text of lines) {
    number += 1;
    if (text.trim() === '') continue;
    const entry = parseLine(text, number);
    hasHead ||= entry.hash === headHash;
    if (!chain.take([entry])) break;
  }
  return { verdict: chain.verdict(), hasHead };
}

function parseLine(text: string, number: number) {
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch (cause) {
    throw new UnusableExportError(`line ${number} is no JSON.`, { cause });
  }
  const parsed = line.safeParse(value);
  if (parsed.success) return parsed.data;
  const { path, message } = parsed.error.issues[0];
  throw new UnusableExportError(`line ${number} is no entry of an audit trail: ${path.join('.')} ${message}.`);
}

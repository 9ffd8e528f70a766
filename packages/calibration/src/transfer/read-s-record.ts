import type { AddressWindow } from './memory-image.js';
import { MemoryWindow } from './memory-window.js';
import { linesOf, numberOf } from './record-bytes.js';
import { readFrame, S_RECORD_FRAME } from './record-frame.js';
import { ProblemList, quoted, type Refused } from './transfer-problem.js';

/** Bytes of the address field by record type. A header's may be used for text. S4 is reserved. */
const ADDRESS_BYTES: Readonly<Record<string, number>> = { 0: 0, 1: 2, 2: 3, 3: 4, 5: 2, 6: 3, 7: 4, 8: 3, 9: 2 };

interface SRecord {
  readonly type: number;
  readonly address: number;
  readonly data: Uint8Array;
}

/**
 * Reads Motorola S-records of type S0 to S3 and S5 to S9 into a block of memory. Any line end, either case, blank lines
 * and data records of different address width are taken. A file is whole when it ends in S7, S8 or S9, or in a count
 * (S5, S6) that is right. Everything that does not fit is a problem that names its line, up to `MAX_PROBLEMS`.
 * @param fill value of bytes that the file leaves out
 */
export function readSRecord(
  text: string,
  window: AddressWindow,
  fill: number,
): { readonly kind: 'read'; readonly memory: MemoryWindow } | Refused {
  const memory = new MemoryWindow(window, fill);
  const problems = new ProblemList();
  let dataRecordCount = 0;
  let endLine = 0;
  let isCounted = false;
  for (const [i, content] of linesOf(text).entries()) {
    const line = i + 1;
    const recordText = content.trim();
    if (recordText === '' || problems.isFull) continue;
    if (endLine > 0) {
      problems.add(`records follow the end record of line ${endLine}. Keep one file of the two.`, { line });
      break;
    }
    // A damaged data record counts too, or the count would be a second problem.
    if (/^S[123]/i.test(recordText)) dataRecordCount++;
    const record = parseRecord(recordText, line, problems);
    if (!record) continue;
    isCounted = record.type === 5 || record.type === 6;
    if (isCounted) checkCount(record, dataRecordCount, line, problems);
    else if (record.type >= 7) endLine = line;
    else if (record.type > 0 && record.data.length > 0) memory.place(record.address, record.data, line, problems);
  }
  if (endLine === 0 && !isCounted) {
    problems.add('The end record (S7, S8 or S9) is missing: the file is cut off. Fetch it again.');
  }
  return problems.isEmpty ? { kind: 'read', memory } : problems.refusal();
}

function checkCount({ type, address }: SRecord, dataRecordCount: number, line: number, problems: ProblemList): void {
  if (address === dataRecordCount) return;
  const message = `S${type} counts ${address} data records, found ${dataRecordCount}. Records were lost or added; fetch the file again.`;
  problems.add(message, { line });
}

function parseRecord(text: string, line: number, problems: ProblemList): SRecord | null {
  if (!/^S/i.test(text)) {
    problems.add(`found ${quoted(text)}, expected a record that begins with 'S'. Remove what is no record.`, { line });
    return null;
  }
  const name = text.slice(0, 2).toUpperCase();
  const addressBytes = ADDRESS_BYTES[name[1]];
  if (addressBytes === undefined) {
    problems.add(`record type ${quoted(name)} is unknown; S-records have S0 to S3 and S5 to S9.`, { line });
    return null;
  }
  const bytes = readFrame(text.slice(2), S_RECORD_FRAME, line, problems);
  if (!bytes) return null;
  const type = Number(name[1]);
  const dataCount = bytes.length - addressBytes - 1;
  const holdsData = type <= 3;
  if (dataCount < 0 || (dataCount > 0 && !holdsData)) {
    const expected = `${holdsData ? 'at least ' : ''}${addressBytes + 1}`;
    problems.add(`${name} states ${bytes[0]} bytes, expected ${expected}. Fetch the file again.`, { line });
    return null;
  }
  const address = numberOf(bytes.subarray(1, 1 + addressBytes));
  return { type, address, data: bytes.subarray(1 + addressBytes) };
}

import type { AddressWindow } from './memory-image.js';
import { MemoryWindow } from './memory-window.js';
import { hexOf, linesOf, numberOf } from './record-bytes.js';
import { INTEL_HEX_FRAME, readFrame } from './record-frame.js';
import { ProblemList, quoted, type Refused } from './transfer-problem.js';

/** Data bytes that each record type other than data must have. */
const FIXED_LENGTHS: Readonly<Record<number, number>> = { 1: 0, 2: 2, 3: 4, 4: 2, 5: 4 };

interface HexRecord {
  readonly type: number;
  readonly offset: number;
  readonly data: Uint8Array;
}

/**
 * Reads Intel HEX with records of type 00 to 05 into a block of memory. Any line end, either case and blank lines are
 * taken. Everything that does not fit the format is a problem that names its line, up to `MAX_PROBLEMS`.
 * @param fill value of bytes that the file leaves out
 */
export function readIntelHex(
  text: string,
  window: AddressWindow,
  fill: number,
): { readonly kind: 'read'; readonly memory: MemoryWindow } | Refused {
  const memory = new MemoryWindow(window, fill);
  const problems = new ProblemList();
  const base = new BaseAddress();
  let endLine = 0;
  for (const [i, content] of linesOf(text).entries()) {
    const line = i + 1;
    const recordText = content.trim();
    if (recordText === '' || problems.isFull) continue;
    if (endLine > 0) {
      problems.add(`data follow the end record of line ${endLine}. Keep one file of the two.`, { line });
      break;
    }
    const record = parseRecord(recordText, line, problems);
    if (!record) {
      // Were it an address record, all data after it would be misplaced.
      if (!/^:.{6}00/.test(recordText)) base.lose();
      continue;
    }
    if (record.type === 0) placeData(record, base, memory, line, problems);
    else if (record.type === 1) endLine = line;
    else if (record.type === 2 || record.type === 4) base.set(record, line, problems);
  }
  if (endLine === 0) problems.add("The end record ':00000001FF' is missing: the file is cut off. Fetch it again.");
  return problems.isEmpty ? { kind: 'read', memory } : problems.refusal();
}

/** Where the offsets of data records count from. Unknown after a record that could not be read. */
class BaseAddress {
  #linear = 0;
  #segment = 0;
  #isKnown = true;

  get isKnown(): boolean {
    return this.#isKnown;
  }

  get address(): number {
    return this.#linear + this.#segment;
  }

  get isSegmented(): boolean {
    return this.#segment > 0;
  }

  lose(): void {
    this.#isKnown = false;
  }

  set({ type, data }: HexRecord, line: number, problems: ProblemList): void {
    const number = numberOf(data);
    if (type === 2) this.#segment = number * 16;
    else this.#linear = number * 0x1_0000;
    this.#isKnown = this.#segment === 0 || this.#linear === 0;
    if (this.#isKnown) return;
    problems.add('it mixes segment (02) and linear (04) addresses, which tools read differently. Use one kind.', {
      line,
    });
  }
}

function placeData(
  { offset, data }: HexRecord,
  base: BaseAddress,
  memory: MemoryWindow,
  line: number,
  problems: ProblemList,
): void {
  if (!base.isKnown || data.length === 0) return;
  const address = base.address + offset;
  if (base.isSegmented && offset + data.length > 0x1_0000) {
    const message = 'its data run over the end of their segment, where tools disagree. Write it with linear addresses.';
    problems.add(message, { line, address });
    return;
  }
  memory.place(address, data, line, problems);
}

function parseRecord(text: string, line: number, problems: ProblemList): HexRecord | null {
  if (!text.startsWith(':')) {
    problems.add(`found ${quoted(text)}, expected a record that begins with ':'. Remove what is no record.`, { line });
    return null;
  }
  const bytes = readFrame(text.slice(1), INTEL_HEX_FRAME, line, problems);
  if (!bytes) return null;
  const record = { type: bytes[3], offset: numberOf(bytes.subarray(1, 3)), data: bytes.subarray(4) };
  return checkType(record, line, problems) ? record : null;
}

function checkType({ type, data }: HexRecord, line: number, problems: ProblemList): boolean {
  if (type === 0) return true;
  const length = FIXED_LENGTHS[type];
  const name = hexOf([type]);
  if (length === undefined) {
    problems.add(`record type ${name} is unknown; Intel HEX has 00 to 05.`, { line });
    return false;
  }
  if (data.length === length) return true;
  problems.add(`a record of type ${name} has ${length} data bytes, found ${data.length}. Fetch the file again.`, {
    line,
  });
  return false;
}

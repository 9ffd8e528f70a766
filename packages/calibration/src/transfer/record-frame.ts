import { bytesOfHex, hexOf, sum8 } from './record-bytes.js';
import type { ProblemList } from './transfer-problem.js';

/** How the records of a format are framed. */
export interface FrameRule {
  /** Bytes that a record has beyond the number in its first byte, that byte among them. */
  readonly extraBytes: number;
  /** Bytes of the shortest record. */
  readonly leastBytes: number;
  /** The last byte of a record, from the sum of those before it. */
  readonly checksumOf: (sum: number) => number;
}

/** Intel HEX: length of the data, offset (2), type, data, two's complement of the sum. */
export const INTEL_HEX_FRAME: FrameRule = { extraBytes: 5, leastBytes: 5, checksumOf: (sum) => -sum & 0xff };
/** S-record: length of all behind it, address, data, ones' complement of the sum. */
export const S_RECORD_FRAME: FrameRule = { extraBytes: 1, leastBytes: 2, checksumOf: (sum) => ~sum & 0xff };

/** A record of these bytes, first length and address, with its checksum behind them. */
export function writeFrame(mark: string, head: readonly number[], data: ArrayLike<number>, rule: FrameRule): string {
  return mark + hexOf(head) + hexOf(data) + hexOf([rule.checksumOf(sum8(head) + sum8(data))]);
}

/** The bytes of a record without its checksum, or null with a problem for one that is damaged. */
export function readFrame(digits: string, rule: FrameRule, line: number, problems: ProblemList): Uint8Array | null {
  const bytes = bytesOfHex(digits);
  if (typeof bytes === 'string') {
    const fault = bytes === 'oddDigit' ? 'an odd digit' : 'other characters than hexadecimal digits';
    problems.add(`the record has ${fault}; it is cut off or damaged. Fetch the file again.`, { line });
    return null;
  }
  const expectedLength = Math.max(rule.leastBytes, bytes.length > 0 ? bytes[0] + rule.extraBytes : 0);
  if (bytes.length !== expectedLength) {
    const fault = bytes.length < expectedLength ? 'truncated' : 'too long';
    const lengths = `found ${bytes.length} bytes, expected ${expectedLength}`;
    problems.add(`the record is ${fault}: ${lengths}. Fetch the file again.`, { line });
    return null;
  }
  const found = bytes[bytes.length - 1];
  const body = bytes.subarray(0, -1);
  const expected = rule.checksumOf(sum8(body));
  if (found === expected) return body;
  const sums = `found checksum ${hexOf([found])}, expected ${hexOf([expected])}`;
  problems.add(`${sums}. The record is damaged; fetch the file again.`, { line });
  return null;
}

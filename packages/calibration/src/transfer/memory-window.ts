import { type AddressWindow, addressText, type MemoryImage, rangeText } from './memory-image.js';
import { hexOf } from './record-bytes.js';
import type { ProblemList } from './transfer-problem.js';

/** A block of memory that records of a file fill piece by piece; holds 5 bytes per byte of the block. */
export class MemoryWindow implements MemoryImage {
  readonly startAddress: number;
  readonly bytes: Uint8Array;
  /** The line that each byte came from; 0 for a byte that no record has given yet. */
  readonly #lines: Uint32Array;

  /** @param fill value of bytes that no record gives */
  constructor({ startAddress, byteCount }: AddressWindow, fill: number) {
    this.startAddress = startAddress;
    this.bytes = new Uint8Array(byteCount).fill(fill);
    this.#lines = new Uint32Array(byteCount);
  }

  /** Whether a record gave the byte of that index. */
  readonly isPresent = (index: number): boolean => this.#lines[index] > 0;

  /** Puts the data of a line in place. Data outside, and data that contradict an earlier line, are problems. */
  place(address: number, data: Uint8Array, line: number, problems: ProblemList): void {
    const start = address - this.startAddress;
    if (start < 0 || start + data.length > this.bytes.length) {
      const expected = rangeText(this.startAddress, this.bytes.length);
      problems.add(
        `its data lie at ${rangeText(address, data.length)}, outside the image map (${expected}). ` +
          'Choose the file of this platform and layout, and cut away what lies outside.',
        { line, address },
      );
      return;
    }
    for (let i = 0; i < data.length; i++) {
      const before = this.#lines[start + i];
      if (before > 0 && this.bytes[start + i] !== data[i]) {
        const [first, second] = [this.bytes[start + i], data[i]].map((byte) => hexOf([byte]));
        problems.add(
          `${addressText(address + i)} is given as ${second}, but line ${before} gave ${first}. Remove the wrong one.`,
          { line, address: address + i },
        );
        return;
      }
      this.bytes[start + i] = data[i];
      this.#lines[start + i] = line;
    }
  }
}

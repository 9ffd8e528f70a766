import type { MemoryImage } from './memory-image.js';
import { bigEndian } from './record-bytes.js';
import { INTEL_HEX_FRAME, writeFrame } from './record-frame.js';
import { type RecordOptions, recordSlices } from './record-style.js';

/** What one extended address record reaches. */
const PAGE_BYTES = 0x1_0000;
/** Addresses that segment records reach. */
const SEGMENTED_BYTES = 0x10_0000;

/**
 * An image as Intel HEX (Hexadecimal Object File Format Specification, revision A, 1988). No record runs over a
 * boundary of 64 KiB. The text equals that of
 * - `srec_cat image.bin -binary -offset START -o image.hex -intel -obs=16 -output-block-alignment`: linear addresses
 *   (type 04) throughout;
 * - `objcopy -I binary -O ihex --change-section-address .data=START image.bin image.hex`: segment addresses (type 02)
 *   below 1 MiB. With `--change-addresses START` it names START as `executionStart` too.
 */
export function writeIntelHex(image: MemoryImage, options: RecordOptions = {}): string {
  const { style = 'srec_cat', executionStart = 0 } = options;
  const objcopy = style === 'objcopy';
  const lines: string[] = [];
  let base = objcopy ? 0 : Number.NaN;
  for (const { address, data } of recordSlices(image, style, PAGE_BYTES)) {
    const page = address - (address % PAGE_BYTES);
    if (page !== base) {
      lines.push(...extendedAddress(page, base, objcopy));
      base = page;
    }
    lines.push(record(0, address - page, data));
  }
  if (executionStart !== 0) lines.push(executionRecord(executionStart, objcopy));
  lines.push(record(1, 0, []), '');
  return lines.join(objcopy ? '\r\n' : '\n');
}

function extendedAddress(page: number, before: number, segmented: boolean): string[] {
  if (segmented && page < SEGMENTED_BYTES) return [record(2, 0, bigEndian(page / 16, 2))];
  const linear = record(4, 0, bigEndian(page / PAGE_BYTES, 2));
  // Readers that add both bases would go astray if the last segment stayed in force.
  return segmented && before > 0 && before < SEGMENTED_BYTES ? [record(2, 0, [0, 0]), linear] : [linear];
}

function executionRecord(address: number, segmented: boolean): string {
  if (!segmented || address >= SEGMENTED_BYTES) return record(5, 0, bigEndian(address, 4));
  return record(3, 0, [
    ...bigEndian((address - (address % PAGE_BYTES)) / 16, 2),
    ...bigEndian(address % PAGE_BYTES, 2),
  ]);
}

function record(type: number, offset: number, data: ArrayLike<number>): string {
  return writeFrame(':', [data.length, offset >> 8, offset & 0xff, type], data, INTEL_HEX_FRAME);
}

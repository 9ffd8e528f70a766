import type { MemoryImage } from './memory-image.js';
import { bigEndian } from './record-bytes.js';
import { S_RECORD_FRAME, writeFrame } from './record-frame.js';
import { type RecordOptions, recordSlices } from './record-style.js';

/** The header record holds at most so many bytes; `objcopy` writes no more. */
const MAX_HEADER_BYTES = 40;

export interface SRecordOptions extends RecordOptions {
  /** Text of the S0 record in UTF-8, cut after 40 bytes. Default none, which is an empty S0 record. */
  readonly header?: string;
}

/**
 * An image as Motorola S-records: S0, then S1, S2 or S3 by what its last address needs, and S9, S8 or S7. The text
 * equals that of
 * - `srec_cat -header HEADER image.bin -binary -offset START -execution-start-address 0 -o image.s19 -motorola -obs=16
 *   -output-block-alignment -address-length=2|3|4`: a record of the count (S5, or S6 above 65,535) before the end;
 * - `objcopy -I binary -O srec --change-section-address .data=START image.bin HEADER`: no count. With
 *   `--change-addresses START` it names START as `executionStart` too.
 */
export function writeSRecord(image: MemoryImage, options: SRecordOptions = {}): string {
  const { style = 'srec_cat', header = '', executionStart = 0 } = options;
  const addressBytes = addressBytesOf(image.startAddress + image.bytes.length - 1);
  const dataType = addressBytes - 1;
  const lines = [record(0, 0, 2, new TextEncoder().encode(header).subarray(0, MAX_HEADER_BYTES))];
  for (const { address, data } of recordSlices(image, style)) lines.push(record(dataType, address, addressBytes, data));
  if (style === 'srec_cat') lines.push(countRecord(lines.length - 1));
  lines.push(record(10 - dataType, executionStart, addressBytes, []), '');
  return lines.join(style === 'objcopy' ? '\r\n' : '\n');
}

function addressBytesOf(lastAddress: number): number {
  if (lastAddress <= 0xffff) return 2;
  return lastAddress <= 0xff_ffff ? 3 : 4;
}

function countRecord(count: number): string {
  return count <= 0xffff ? record(5, count, 2, []) : record(6, count, 3, []);
}

function record(type: number, address: number, addressBytes: number, data: ArrayLike<number>): string {
  const head = [addressBytes + data.length + 1, ...bigEndian(address, addressBytes)];
  return writeFrame(`S${type}`, head, data, S_RECORD_FRAME);
}

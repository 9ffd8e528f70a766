import { execFileSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { writeIntelHex, writeSRecord } from '../../src/index.js';

/** Start addresses and sizes: nothing to cross, 64 KiB, 1 MiB and 16 MiB boundaries, each aligned and not, the end. */
const BLOCKS: readonly (readonly [startAddress: number, byteCount: number])[] = [
  [0x0, 1],
  [0x100, 64],
  [0x1234, 70],
  [0xffba, 70],
  [0xffbb, 70],
  [0xfff8, 70],
  [0xfffc, 16],
  [0x1_fff0, 33],
  [0x4_0000, 300],
  [0xf_fff3, 70],
  [0xff_fff0, 70],
  [0xff_ffbb, 70],
  [0x801_ffe0, 70],
  [0xffff_ffb0, 80],
];

/** A command line of a general tool, and what our writers make of the same image. */
export interface RecordCommand {
  readonly image: { readonly startAddress: number; readonly bytes: Uint8Array };
  /** Name of the output, relative to the folder in which the command runs. */
  readonly output: string;
  readonly tool: 'srec_cat' | 'objcopy';
  readonly args: readonly string[];
  readonly write: () => string;
}

export const INPUT_NAME = 'image.bin';

/** So many records that their count needs S6; only the hash of the output is kept. */
const largeImage = { startAddress: 0x801_0008, bytes: imageBytes(1_048_577) };

export const RECORD_COMMANDS: readonly RecordCommand[] = [
  ...BLOCKS.flatMap(([startAddress, byteCount]) => {
    const image = { startAddress, bytes: imageBytes(byteCount) };
    return [srecCatHex(image), srecCatSRecord(image), ...objcopyHex(image), ...objcopySRecord(image)];
  }),
  srecCatSRecord(largeImage),
  objcopyHex(largeImage)[0],
];

/** The bytes of an image of that size: byte i is (7i + 3) xor (i >> 3), as in shared/reference/second-source. */
export function imageBytes(byteCount: number): Uint8Array {
  return Uint8Array.from({ length: byteCount }, (_, i) => ((7 * i + 3) ^ (i >> 3)) & 0xff);
}

export function commandLine({ tool, args }: RecordCommand): string {
  return [tool, ...args].join(' ');
}

/** Runs the tool in a folder of its own; throws when it is not installed. */
export function runCommand({ tool, args, image, output }: RecordCommand): string {
  const folder = mkdtempSync(join(tmpdir(), 'records-'));
  try {
    writeFileSync(join(folder, INPUT_NAME), image.bytes);
    execFileSync(tool, args, { cwd: folder });
    return readFileSync(join(folder, output), 'latin1');
  } finally {
    rmSync(folder, { recursive: true });
  }
}

export function sha256(text: string): string {
  return createHash('sha256').update(text, 'latin1').digest('hex');
}

type Image = RecordCommand['image'];

function hex(address: number): string {
  return `0x${address.toString(16).toUpperCase()}`;
}

function srecCatHex(image: Image): RecordCommand {
  const output = 'out.hex';
  const offset = ['-offset', hex(image.startAddress)];
  const args = [INPUT_NAME, '-binary', ...offset, '-o', output, '-intel', '-obs=16', '-output-block-alignment'];
  return { image, output, tool: 'srec_cat', args, write: () => writeIntelHex(image) };
}

function srecCatSRecord(image: Image): RecordCommand {
  const output = 'out.s19';
  const lastAddress = image.startAddress + image.bytes.length - 1;
  const length = lastAddress > 0xff_ffff ? 4 : lastAddress > 0xffff ? 3 : 2;
  const input = ['-header', 'tern', INPUT_NAME, '-binary', '-offset', hex(image.startAddress)];
  const shape = ['-motorola', '-obs=16', '-output-block-alignment', `-address-length=${length}`];
  const args = [...input, '-execution-start-address', '0', '-o', output, ...shape];
  return { image, output, tool: 'srec_cat', args, write: () => writeSRecord(image, { header: 'tern' }) };
}

function objcopyHex(image: Image): RecordCommand[] {
  const output = 'out.hex';
  return objcopyMoves(image).map(({ move, executionStart }) => ({
    image,
    output,
    tool: 'objcopy',
    args: ['-I', 'binary', '-O', 'ihex', ...move, INPUT_NAME, output],
    write: () => writeIntelHex(image, { style: 'objcopy', executionStart }),
  }));
}

function objcopySRecord(image: Image): RecordCommand[] {
  const output = 'out.s19';
  return objcopyMoves(image).map(({ move, executionStart }) => ({
    image,
    output,
    tool: 'objcopy',
    args: ['-I', 'binary', '-O', 'srec', ...move, INPUT_NAME, output],
    write: () => writeSRecord(image, { style: 'objcopy', header: output, executionStart }),
  }));
}

/** The option that moves the data alone, and the one that moves the execution start with them. */
function objcopyMoves({ startAddress }: Image) {
  return [
    { move: ['--change-section-address', `.data=${hex(startAddress)}`], executionStart: 0 },
    { move: ['--change-addresses', hex(startAddress)], executionStart: startAddress },
  ];
}

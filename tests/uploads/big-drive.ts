import { createHash, type Hash } from 'node:crypto';
import { createWriteStream } from 'node:fs';
import { Readable } from 'node:stream';
import { pipeline } from 'node:stream/promises';

const HEADER = 'time (s),input speed (rpm),output speed (rpm),engine speed (rpm),load (%)\n';
const ROWS_AT_ONCE = 20_000;

/** Writes a drive log of exactly `sizeBytes`, the same for the same seed, and gives its SHA-256. */
export async function writeBigDrive(path: string, sizeBytes: number, seed = 1): Promise<string> {
  const hash = createHash('sha256');
  await pipeline(Readable.from(chunks(sizeBytes, seed, hash)), createWriteStream(path));
  return hash.digest('hex');
}

/** The same in memory. */
export function bigDrive(sizeBytes: number, seed: number): { bytes: Uint8Array<ArrayBuffer>; sha256: string } {
  const hash = createHash('sha256');
  const bytes = new Uint8Array(sizeBytes);
  let offset = 0;
  for (const chunk of chunks(sizeBytes, seed, hash)) {
    bytes.set(chunk, offset);
    offset += chunk.length;
  }
  return { bytes, sha256: hash.digest('hex') };
}

function* chunks(sizeBytes: number, seed: number, hash: Hash): Generator<Buffer> {
  let left = sizeBytes;
  for (let row = 0; left > 0; row += ROWS_AT_ONCE) {
    const text = Buffer.from((row === 0 ? HEADER : '') + rows(row, seed)).subarray(0, left);
    hash.update(text);
    left -= text.length;
    yield text;
  }
}

/** Speeds that wander, so that the text packs as a real log does and no two seeds are alike. */
function rows(from: number, seed: number): string {
  let text = '';
  for (let i = from; i < from + ROWS_AT_ONCE; i++) {
    const outputRpm = 900 + 600 * Math.sin(i / 9000 + seed);
    const load = 40 + 30 * Math.sin(i / 777);
    text += `${(i / 100).toFixed(2)},${(1.4 * outputRpm).toFixed(1)},${outputRpm.toFixed(1)},${(1.41 * outputRpm).toFixed(1)},${load.toFixed(1)}\n`;
  }
  return text;
}

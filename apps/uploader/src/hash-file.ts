import { createHash } from 'node:crypto';
import { createReadStream } from 'node:fs';
import { UPLOAD_HEAD_BYTES } from '@syncline/contract';

const PIECE_BYTES = 1024 * 1024;

/** Hashes of a whole file and of its first bytes, in lower-case hex. Rejects when it cannot be read or is aborted. */
export async function hashFile(path: string, signal: AbortSignal): Promise<{ sha256: string; head: string }> {
  const [whole, head] = [createHash('sha256'), createHash('sha256')];
  let missingOfHead = UPLOAD_HEAD_BYTES;
  for await (const chunk of createReadStream(path, { highWaterMark: PIECE_BYTES, signal }) as AsyncIterable<Buffer>) {
    whole.update(chunk);
    const part = chunk.subarray(0, missingOfHead);
    head.update(part);
    missingOfHead -= part.length;
  }
  return { sha256: whole.digest('hex'), head: head.digest('hex') };
}

import { createHash } from 'node:crypto';
import { createReadStream } from 'node:fs';
import { open } from 'node:fs/promises';

/** SHA-256 of a file as it lies there, lower-case hex, and its size. */
export async function hashFile(path: string): Promise<{ readonly sha256: string; readonly bytes: number }> {
  const hash = createHash('sha256');
  let bytes = 0;
  for await (const chunk of createReadStream(path) as AsyncIterable<Buffer>) {
    hash.update(chunk);
    bytes += chunk.length;
  }
  return { sha256: hash.digest('hex'), bytes };
}

/** Copies a file, hashing what is read, and syncs the copy. The target must not exist. */
export async function copyHashed(
  source: string,
  target: string,
): Promise<{ readonly sha256: string; readonly bytes: number }> {
  const hash = createHash('sha256');
  let bytes = 0;
  const file = await open(target, 'wx', 0o600);
  try {
    for await (const chunk of createReadStream(source) as AsyncIterable<Buffer>) {
      hash.update(chunk);
      bytes += chunk.length;
      await file.appendFile(chunk);
    }
    await file.sync();
  } finally {
    await file.close();
  }
  return { sha256: hash.digest('hex'), bytes };
}

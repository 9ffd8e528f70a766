import { createHash } from 'node:crypto';
import { createGunzip } from 'node:zlib';

/** Takes a gzip file piece by piece and hashes what it holds. */
export interface ContentHash {
  push(chunk: Uint8Array): Promise<void>;
  /** SHA-256 in lower-case hex; null when the file is damaged or unpacks to more than allowed. */
  end(): Promise<string | null>;
  /** Gives the memory back; harmless after the end. */
  stop(): void;
}

/** Memory is bounded by the pieces; a file that unpacks to more than `maxBytes` is given up there. */
export function hashContent(maxBytes: number): ContentHash {
  const hash = createHash('sha256');
  const unpacker = createGunzip();
  let unpackedBytes = 0;
  const isWhole = new Promise<boolean>((resolve) => {
    unpacker.once('end', () => resolve(true));
    unpacker.once('error', () => resolve(false));
    unpacker.once('close', () => resolve(false));
  });
  unpacker.on('data', (chunk: Buffer) => {
    unpackedBytes += chunk.length;
    if (unpackedBytes > maxBytes) unpacker.destroy();
    else hash.update(chunk);
  });
  return {
    async push(chunk) {
      if (unpacker.destroyed || unpacker.write(chunk)) return;
      await Promise.race([new Promise((resolve) => unpacker.once('drain', resolve)), isWhole]);
    },
    async end() {
      if (!unpacker.destroyed) unpacker.end();
      return (await isWhole) ? hash.digest('hex') : null;
    },
    stop: () => void unpacker.destroy(),
  };
}

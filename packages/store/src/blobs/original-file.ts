import { createReadStream } from 'node:fs';
import { pipeline, type Readable } from 'node:stream';
import { createGunzip } from 'node:zlib';
import type { ReceivedBlob } from './blobs.js';

/** Read and unpacked at once: with the usual 16 KiB half of the time goes into handing the pieces on. */
const PIECE_BYTES = 1 << 18;

/** Where an uploaded file lies on disk; `stored` as it came. */
export interface OriginalFile {
  readonly path: string;
  readonly encoding: ReceivedBlob['encoding'];
}

/** The original bytes. Errors of the file come out of the stream that is returned. */
export function readOriginal({ path, encoding }: OriginalFile): Readable {
  const file = createReadStream(path, { highWaterMark: PIECE_BYTES });
  if (encoding === 'stored') return file;
  // The callback only takes the error, which the returned stream tells as well.
  return pipeline(file, createGunzip({ chunkSize: PIECE_BYTES }), () => {});
}

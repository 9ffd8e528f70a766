import { existsSync } from 'node:fs';
import { join } from 'node:path';
import type { ReceivedBlob } from './blobs.js';

/** How a blob lies on disk. The name says the encoding, so that file and row can never disagree about it. */
export type BlobRef = Pick<ReceivedBlob, 'sha256' | 'encoding'>;

export function blobFileName({ sha256, encoding }: BlobRef): string {
  return encoding === 'gzip' ? `${sha256}.gz` : sha256;
}

export function blobPath(folder: string, blob: BlobRef): string {
  return join(folder, 'blobs', blob.sha256.slice(0, 2), blobFileName(blob));
}

export function hasBlobFile(folder: string, blob: BlobRef): boolean {
  return existsSync(blobPath(folder, blob));
}

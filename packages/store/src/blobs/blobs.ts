import type { Readable } from 'node:stream';
import type { OriginalFile } from './original-file.js';

/** Bytes that are safely on disk but have no row yet. */
export interface ReceivedBlob {
  /** Of the original bytes, lower-case hex. */
  readonly sha256: string;
  /** Of the original bytes. */
  readonly sizeBytes: number;
  readonly storedBytes: number;
  readonly encoding: 'gzip' | 'stored';
  /** Hash of what a gzip file holds; null for other files, and where it cannot be unpacked. */
  readonly contentSha256: string | null;
}

export interface BlobCheck {
  /** Rows without a file. */
  readonly missing: readonly string[];
  /** Files whose original bytes no longer have their hash or size. */
  readonly altered: readonly string[];
  /** Files without a row; swept after a day. */
  readonly orphaned: readonly string[];
}

export interface BlobReader {
  /** The original bytes, exactly. Throws `not_found` without a row, `blob_missing` without the file. */
  open(sha256: string): Readable;
  /** Where they lie, for a thread that has no database. Throws as `open`. */
  locate(sha256: string): OriginalFile;
}

export interface BlobStore extends BlobReader {
  /**
   * Takes a stream: hashes while writing, compresses unless it is compressed already, syncs, and moves it into place.
   * The row is written by the caller's transaction (`logs.add`). Throws `too_large` or `storage_full`; then nothing stays.
   * Where it is known how long a large file will be, it lies unpacked for its analysis as well (`takePlain`).
   */
  receive(
    stream: AsyncIterable<Uint8Array>,
    options: { readonly maxBytes: number; readonly expectedBytes?: number | undefined },
  ): Promise<ReceivedBlob>;
  /**
   * The file of a blob that was received lately, unpacked, where there is one. Whoever takes it, once, removes it; else the
   * sweep or the next start does.
   */
  takePlain(blob: Pick<ReceivedBlob, 'sha256' | 'sizeBytes'>): OriginalFile | undefined;
  /** Lets go of the unpacked file of a blob that is not analysed after all; of all, where the disk is short of room. */
  dropPlain(sha256?: string): void;
  /** A path for a folder of files that are needed for a while. Whoever asks removes it; else the next start does. */
  scratchFolder(): string;
  /**
   * Removes files that no row refers to any more, named below the data folder. One that came minutes ago may be on its
   * way to a row: it is left to the sweep.
   */
  removeFiles(paths: readonly string[]): void;
  /** Reads everything again. Long: run it seldom. */
  verify(): Promise<BlobCheck>;
  /** Removes blobs, signal files, half-received files and bytes of uploads that nothing refers to and that are older than a day. */
  sweep(): Promise<{ readonly removed: readonly string[] }>;
}

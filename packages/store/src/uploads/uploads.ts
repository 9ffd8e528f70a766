import type { Readable } from 'node:stream';
import type { Actor } from '../actor.js';
import type { StoredProblem } from '../logs/log-state.js';

/** What became of an upload. Only while it is `receiving` are its bytes kept here. */
export type UploadOutcome =
  | { readonly state: 'receiving' }
  | { readonly state: 'done'; readonly logId: string; readonly isDuplicate: boolean }
  | { readonly state: 'refused'; readonly problem: StoredProblem };

/** What is said of a file before its first byte. */
export interface NewUpload {
  readonly personId: string;
  readonly vehicleId: string;
  readonly fileName: string;
  /** Of the whole file. */
  readonly sizeBytes: number;
  readonly drivenAtMs: number | null;
  readonly revisionId: string | null;
  /** Of the whole file, as its sender states it. */
  readonly sha256: string | null;
  /** Of the first bytes of the file, by which its sender knows it again. */
  readonly headSha256: string | null;
  /** Who sends it, for the audit entry of its log. */
  readonly startedBy: Actor;
  readonly expiresAtMs: number;
}

export interface Upload extends NewUpload {
  readonly id: string;
  readonly vehicleTitle: string;
  /** Of the car: whose room the file takes. */
  readonly ownerId: string;
  readonly outcome: UploadOutcome;
  readonly createdAtMs: number;
}

export interface UploadReads {
  find(uploadId: string): Upload | undefined;
  /** Of one person, oldest first; only those for one car when it is named. */
  listOf(personId: string, vehicleId?: string): readonly Upload[];
  /** Everybody's that are still `receiving`, oldest first. */
  listReceiving(): readonly Upload[];
  /** What the originals for the cars of one person take (bytes as sent), and what uploads under way will. */
  roomOf(ownerId: string): { readonly storedBytes: number; readonly pendingBytes: number };
  /** Another log of the same car that holds the same bytes once both are unpacked. */
  findTwin(logId: string): { readonly id: string; readonly fileName: string } | undefined;
}

export interface UploadStore {
  /** Row of an upload that is to come. With another `outcome` it has ended before it began. */
  begin(input: NewUpload, outcome?: UploadOutcome): Upload;
  /** Moves the day on which an upload that stands still is forgotten. */
  prolong(uploadId: string, expiresAtMs: number): void;
  /** Part of the transaction that writes the log. Remove the bytes after it. */
  end(uploadId: string, outcome: Exclude<UploadOutcome, { state: 'receiving' }>): void;
  /** What a packed blob holds; its row must be there. Part of a larger transaction. */
  noteContent(sha256: string, contentSha256: string): void;
  /** Bytes that have come; 0 without a file. */
  receivedBytes(uploadId: string): number;
  /**
   * Writes bytes from `offset` on, syncs them and returns the new offset. What breaks off on its way stays as far as it
   * came. One call at a time for each upload. Throws `storage_full`.
   */
  append(uploadId: string, offset: number, chunks: AsyncIterable<Uint8Array>): Promise<number>;
  openBytes(uploadId: string): Readable;
  removeBytes(uploadId: string): void;
  /** Forgets row and bytes. */
  remove(uploadId: string): void;
  /** Forgets every upload whose day has come. */
  sweep(): number;
}

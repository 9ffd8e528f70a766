import type { SignalId } from '@syncline/drivelog';
import type { SignalFileSummary } from './signals.js';

/** What the thread of `startSignalWriter` is begun with. */
export interface WriterTask {
  readonly path: string;
  readonly signalIds: readonly SignalId[];
}

/** Each is answered, in order. */
export type WriterRequest = AppendRequest | { readonly kind: 'close' } | { readonly kind: 'abort' };

export interface AppendRequest {
  readonly kind: 'append';
  /** Columns of `count` doubles one after the other: the times, then the signals that are present. Comes back. */
  readonly room: ArrayBuffer;
  readonly startIndex: number;
  readonly count: number;
  readonly present: readonly SignalId[];
}

export type WriterReply =
  | { readonly kind: 'appended'; readonly room: ArrayBuffer }
  | { readonly kind: 'closed'; readonly summary: SignalFileSummary }
  | { readonly kind: 'aborted' }
  /** An error keeps its message and code on its way. */
  | { readonly kind: 'failed'; readonly message: string; readonly code: string | undefined };

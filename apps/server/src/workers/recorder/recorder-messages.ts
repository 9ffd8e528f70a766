import type { SignalId } from '@syncline/drivelog';
import type { Recording } from './drive-recorder.js';

/** What the thread of a recorder is asked. Each is answered, in order. */
export type RecorderRequest = AppendRequest | { readonly kind: 'close' } | { readonly kind: 'abort' };

export interface AppendRequest {
  readonly kind: 'append';
  /** Columns of `count` doubles one after the other: the times, then the signals that are present. Comes back. */
  readonly room: ArrayBuffer;
  readonly startIndex: number;
  readonly count: number;
  readonly present: readonly SignalId[];
}

export type RecorderReply =
  | { readonly kind: 'appended'; readonly room: ArrayBuffer }
  | { readonly kind: 'closed'; readonly recording: Recording }
  | { readonly kind: 'aborted' }
  /** An error keeps its message and code on its way. */
  | { readonly kind: 'failed'; readonly message: string; readonly code: string | undefined };

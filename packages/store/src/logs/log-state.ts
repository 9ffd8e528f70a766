/**
 * `waiting` for a worker; `awaitingMap` until a person says which column is which signal; `decoding` and `analysing`
 * are running; `ready` has shifts; `refused` was read but cannot be graded; `failed` could not be read.
 */
export type LogState = 'waiting' | 'awaitingMap' | 'decoding' | 'analysing' | 'ready' | 'refused' | 'failed';

/** Why something could not be done, in words for its owner. */
export interface StoredProblem {
  readonly code: string;
  readonly detail: string;
  readonly remedy: string;
}

import type { Actor } from '../actor.js';

/** An address that another program is told at. The secret signs what is sent. */
export interface Hook {
  readonly id: string;
  readonly url: string;
  readonly createdByName: string;
  readonly createdAtMs: number;
}

export interface NewNotice {
  readonly channel: 'mail' | 'hook';
  /** E-mail address, or id of the hook. */
  readonly recipient: string;
  /** What it is about, e.g. `release:0198…`. */
  readonly about: string;
  readonly subject: string;
  readonly body: string;
}

export interface Notice extends NewNotice {
  readonly id: string;
  readonly state: 'waiting' | 'sent' | 'failed';
  readonly attempts: number;
  readonly nextAtMs: number;
  readonly lastError: string;
  readonly createdAtMs: number;
  readonly sentAtMs: number | null;
}

export interface NoticeReads {
  /** Newest first, without those removed. */
  hooks(): readonly Hook[];
  /** Undefined for one that was removed. */
  findHook(hookId: string): (Hook & { readonly secret: string }) | undefined;
  /** Waiting and due now, oldest first. */
  due(limit: number): readonly Notice[];
  /** Newest first. */
  list(filter: { readonly about?: string; readonly limit: number }): readonly Notice[];
}

export interface NoticeWrites {
  /** Returns the id. */
  addHook(input: { readonly actor: Actor; readonly url: string; readonly secret: string }): string;
  /** Throws `not_found`. What was sent to it stays told of. */
  removeHook(input: { readonly actor: Actor; readonly hookId: string }): void;
  /** Part of the transaction of what it tells of. */
  queue(notices: readonly NewNotice[]): void;
  /** Notes how a try went: sent, to be tried again at `nextAtMs`, or given up (null). */
  settle(
    noticeId: string,
    outcome:
      | { readonly isSent: true }
      | { readonly isSent: false; readonly error: string; readonly nextAtMs: number | null },
  ): void;
}

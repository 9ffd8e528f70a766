/** The answer that was given to a writing request, so that its repetition gets the same. */
export interface KeptReply {
  readonly personId: string;
  readonly key: string;
  /** Of method, address and body: the same key for another request is a mistake of the caller. */
  readonly requestHash: string;
  readonly status: number;
  readonly body: string;
}

export interface IdempotencyKeys {
  find(personId: string, key: string): KeptReply | undefined;
  /** Call it in the same `transaction` as the write, then a crash cannot part them. Throws `exists`. */
  keep(reply: KeptReply): void;
  /** Forgets replies older than a day. */
  sweep(): number;
}

/** Who makes a change, as the audit trail keeps it. The name is the one the actor has at that time. */
export interface Actor {
  readonly kind: 'person' | 'token' | 'system';
  /** Null for the system itself. */
  readonly id: string | null;
  readonly name: string;
  readonly requestId: string;
}

/** Narrows a read to the cars of one owner. Without `ownerId` every row is seen. */
export interface Scope {
  readonly ownerId?: string;
}

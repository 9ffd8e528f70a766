/**
 * Who makes a change, as the audit trail keeps it. The name is the one the actor has at that time. A token is its person
 * in everything but the kind and the name, which says the token as well: what a person may not do, no token of hers may.
 */
export interface Actor {
  readonly kind: 'person' | 'token' | 'system';
  /** Of the person; null for the system itself. */
  readonly id: string | null;
  readonly name: string;
  readonly requestId: string;
}

/** Narrows a read to the cars of one owner. Without `ownerId` every row is seen. */
export interface Scope {
  readonly ownerId?: string;
}

import type { DialectVerdict } from './vehicles.js';

/** What was observed of a car last, and what was declared then. */
export interface ObservedDialect {
  readonly dialect: string | null;
  readonly against: string | null;
}

/**
 * What the observed bus dialect says of the declared one (methods.md 8). Nothing observed, or observed without a
 * match, leaves it unknown; so does an observation without a declaration to hold it against. An observation confirms
 * the declaration that stood when it was made and no later one: who declares what was observed of him afterwards has
 * told nothing new, and needs a new capture or a maintainer's decision.
 */
export function dialectVerdict(declared: string | null, { dialect, against }: ObservedDialect): DialectVerdict {
  const verdict = compareDialects(declared, dialect);
  return verdict === 'confirmed' && against !== declared ? 'unknown' : verdict;
}

/** The verdict of an observation that is held against what is declared at that moment. */
export function compareDialects(declared: string | null, observed: string | null): DialectVerdict {
  if (declared === null || observed === null) return 'unknown';
  return declared === observed ? 'confirmed' : 'contradicted';
}

/** Whether the car may be offered a revision: a maintainer's decision holds, else only what is confirmed. */
export function isDialectCleared(verdict: DialectVerdict, decision: 'accept' | 'refuse' | null): boolean {
  return decision === null ? verdict === 'confirmed' : decision === 'accept';
}

import type { Page, RevisionRef } from '@syncline/store';

/** An instant as the API writes it: ISO 8601 in UTC. */
export function toInstant(ms: number): string {
  return new Date(ms).toISOString();
}

export function toInstantOrNull(ms: number | null): string | null {
  return ms === null ? null : toInstant(ms);
}

/** What a revision is called where its calibration is not beside it. */
export function toRevisionLabel(revision: RevisionRef): string {
  return `${revision.calibrationTitle} r${revision.number}`;
}

/** A page of the store with its items mapped to the contract. */
export function toPage<T, U>(
  page: Page<T>,
  map: (item: T) => U,
): { items: U[]; nextCursor: string | null; totalCount: number } {
  return { items: page.items.map(map), nextCursor: page.nextCursor, totalCount: page.totalCount };
}

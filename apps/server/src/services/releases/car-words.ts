import type { ReleasableCar, RevisionRef } from '@syncline/store';

/** What a revision is called. */
export function revisionLabel({ calibrationTitle, number }: Pick<RevisionRef, 'calibrationTitle' | 'number'>): string {
  return `${calibrationTitle} r${number}`;
}

export type CarDialect = Pick<ReleasableCar, 'title' | 'dialect' | 'dialectVerdict'>;

/** Why the bus dialect of a car keeps revisions out of it, in a sentence. */
export function dialectWords({ title, dialect, dialectVerdict }: CarDialect): string {
  switch (dialectVerdict) {
    case 'contradicted':
      return `The bus of ${title} was observed to speak ${dialect}, which is not what was declared, and no maintainer has decided on it.`;
    case 'unknown':
      return `The bus dialect of ${title} is not verified: ${dialect === null ? 'none is known' : `${dialect} is declared only`}. Upload a capture of the bus.`;
    case 'confirmed':
      return `A maintainer has decided that ${title} is offered nothing.`;
    default:
      return dialectVerdict satisfies never;
  }
}

import type { MarkRow, Note } from '@syncline/contract';
import type { MarkedMoment } from '../../charts/moment-strip.js';
import { formatElapsed } from '../../format/time.js';

/** Notes and presses of the marker button in the order of the drive. */
export function momentsOf(notes: readonly Note[], marks: readonly MarkRow[]): MarkedMoment[] {
  const moments: MarkedMoment[] = [
    ...notes.map(({ id, atS, text }) => ({
      id,
      atS,
      kind: 'note' as const,
      words: `Note at ${formatElapsed(atS, 1)}: ${text}`,
    })),
    ...marks.map(({ id, atS }) => ({
      id,
      atS,
      kind: 'press' as const,
      words: `Button pressed at ${formatElapsed(atS, 1)}`,
    })),
  ];
  return moments.sort((a, b) => a.atS - b.atS);
}

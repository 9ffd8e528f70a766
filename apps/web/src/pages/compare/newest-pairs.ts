import type { CalibrationResponse } from '@syncline/contract';
import { revisionLabel } from '../revision/revision-label.js';

interface Pair {
  readonly base: string;
  readonly other: string;
  readonly words: string;
}

/** The newest revision that has a parent, of each calibration, against that parent. */
export function newestPairs(calibrations: readonly CalibrationResponse[]): Pair[] {
  return calibrations.flatMap(({ revisions }) => {
    const newest = [...revisions].sort((a, b) => b.number - a.number).find(({ parentId }) => parentId !== null);
    if (newest === undefined || newest.parentId === null) return [];
    return [
      { base: newest.parentId, other: newest.id, words: `${revisionLabel(newest)} against r${newest.parentNumber}` },
    ];
  });
}

import type { ReleasableCar } from '@syncline/store';
import { revisionLabel } from './car-words.js';

export interface CarRuns {
  /** A drive that said so, or what was entered as installed. */
  readonly source: 'log' | 'entered' | 'none';
  readonly revisionId: string | null;
  /** As written in the file where the club has no such revision. */
  readonly label: string | null;
  readonly contentHash: string | null;
  readonly sinceAtMs: number | null;
  readonly logId: string | null;
  /** In words, where drive and entry differ. */
  readonly disagreement: string | null;
}

/**
 * What a car really runs. A drive that says so is believed before its person, unless something was entered as installed
 * since; where the two differ, that is told.
 */
export function carRuns({ installed, stated }: Pick<ReleasableCar, 'installed' | 'stated'>): CarRuns {
  const entered = installed && revisionLabel(installed.revision);
  if (stated !== null && stated.drivenAtMs > (installed?.sinceAtMs ?? Number.NEGATIVE_INFINITY)) {
    const label = stated.revision ? revisionLabel(stated.revision) : stated.text;
    const isAsEntered = installed !== null && stated.contentHash === installed.contentHash;
    return {
      source: 'log',
      revisionId: stated.revision?.id ?? null,
      label,
      contentHash: stated.contentHash,
      sinceAtMs: stated.drivenAtMs,
      logId: stated.logId,
      disagreement: isAsEntered
        ? null
        : `The newest drive says “${stated.text}”${stated.revision ? ` (${label})` : ', which the club does not know'}; ` +
          `${entered === null ? 'nothing' : entered} is entered as installed.`,
    };
  }
  if (installed === null) {
    return {
      source: 'none',
      revisionId: null,
      label: null,
      contentHash: null,
      sinceAtMs: null,
      logId: null,
      disagreement: null,
    };
  }
  return {
    source: 'entered',
    revisionId: installed.revision.id,
    label: entered,
    contentHash: installed.contentHash,
    sinceAtMs: installed.sinceAtMs,
    logId: null,
    disagreement: null,
  };
}

import type { CalibrationResponse } from '@syncline/contract';
import type { HistoryRevision } from './history-revision.js';

type Revisions = Pick<CalibrationResponse, 'revisions'>;

/** Names of the lines of a calibration, the one with the newest revision first. */
export function linesOf({ revisions }: Revisions): string[] {
  const newestFirst = [...revisions].sort((a, b) => b.number - a.number);
  return [...new Set(newestFirst.map(({ line }) => line))];
}

/** The newest revision of a line. */
export function headOf({ revisions }: Revisions, line: string): HistoryRevision | undefined {
  return revisions
    .filter((revision) => revision.line === line)
    .reduce<HistoryRevision | undefined>(
      (newest, revision) => (newest === undefined || revision.number > newest.number ? revision : newest),
      undefined,
    );
}

/** The line that a draft from a revision goes on with; empty where the line has moved on, so that a branch needs a name. */
export function lineAfter(calibration: Revisions, revisionId: string): string {
  const revision = calibration.revisions.find(({ id }) => id === revisionId);
  return revision !== undefined && headOf(calibration, revision.line)?.id === revisionId ? revision.line : '';
}

/** The two lines to offer for a merge: the newest into the one that it left, or any two heads; undefined for one line. */
export function suggestedMerge(calibration: Revisions): { ours: string; theirs: string } | undefined {
  const [first, second] = linesOf(calibration);
  if (first === undefined || second === undefined) return undefined;
  const [main, other] = first === 'main' ? [first, second] : second === 'main' ? [second, first] : [first, second];
  const [ours, theirs] = [headOf(calibration, main), headOf(calibration, other)];
  return ours && theirs && { ours: ours.id, theirs: theirs.id };
}

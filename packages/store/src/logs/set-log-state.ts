import { eq } from 'drizzle-orm';
import type { WriteContext } from '../database/context.js';
import { logs } from '../schema/logs.js';
import type { LogState, StoredProblem } from './log-state.js';

/** Moves a log on; a problem given before is forgotten unless it is given again. Part of a larger transaction. */
export function setLogState(
  { db }: WriteContext,
  logId: string,
  to: { readonly state: LogState; readonly progress: number; readonly problem?: StoredProblem | null },
): void {
  db.update(logs)
    .set({ state: to.state, progress: to.progress, ...problemColumns(to.problem ?? null) })
    .where(eq(logs.id, logId))
    .run();
}

/** A problem as it lies in the rows of logs and of jobs. */
export interface ProblemColumns {
  readonly problemCode: string | null;
  readonly problemDetail: string | null;
  readonly problemRemedy: string | null;
}

export function problemColumns(problem: StoredProblem | null): ProblemColumns {
  return {
    problemCode: problem?.code ?? null,
    problemDetail: problem?.detail ?? null,
    problemRemedy: problem?.remedy ?? null,
  };
}

export function problemOf(row: ProblemColumns): StoredProblem | null {
  if (row.problemCode === null) return null;
  return { code: row.problemCode, detail: row.problemDetail ?? '', remedy: row.problemRemedy ?? '' };
}

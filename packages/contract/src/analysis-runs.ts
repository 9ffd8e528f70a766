import { z } from 'zod';
import { id, instant, pageOf, pageQuery, rate } from './common.js';
import { grade, shiftRow } from './shifts.js';

export const RUN_REASONS = ['analysis', 'policy', 'asked'] as const;
/** `collecting` until every log has its new result; `ready` to be switched to or discarded. */
export const RUN_STATES = ['collecting', 'ready', 'switched', 'discarded'] as const;
/** `analysed` from the original; `regraded` from stored measures; `failed`: not read again, shifts of before regraded. */
const candidateOutcome = z.enum(['analysed', 'regraded', 'failed']);

const count = z.number().int();
const beforeAndAfter = z.object({ before: rate, after: rate });
const effectOnShifts = z.object({
  before: count.describe('shifts as pages show them'),
  after: count.describe('shifts under the run'),
  found: count.describe('only after'),
  lost: count.describe('only before'),
  regraded: count.describe('the same shift with other grades'),
  grades: z.array(
    z.object({
      grade,
      before: count,
      after: count,
      gained: count.describe('shifts of both that have it only after'),
      dropped: count.describe('shifts of both that have it only before'),
    }),
  ),
  rates: z.object({
    flare: beforeAndAfter,
    tieUp: beforeAndAfter,
    harsh: beforeAndAfter,
    slow: beforeAndAfter,
    clean: beforeAndAfter,
  }),
});
export type EffectOnShifts = z.infer<typeof effectOnShifts>;

/** What a run changes, over the logs that have their new result. */
export const runEffect = z.object({
  logs: z.object({ analysed: count, regraded: count, failed: count, changed: count }),
  total: effectOnShifts,
  kinds: z.array(effectOnShifts.extend({ kind: z.string() })),
});
export type RunEffect = z.infer<typeof runEffect>;

export const analysisRun = z.object({
  id,
  platformId: id,
  platformTitle: z.string(),
  reason: z.enum(RUN_REASONS),
  analysisVersion: count,
  policyVersion: count,
  policyInForce: count.describe('by which the shifts that pages show are graded'),
  state: z.enum(RUN_STATES),
  beganAt: instant,
  beganByName: z.string(),
  endedAt: instant.nullable(),
  endedByName: z.string().nullable(),
  endNote: z.string().nullable(),
  progress: z
    .object({ done: count, stuck: count.describe('gave up; tried again at the next start'), total: count })
    .nullable()
    .describe('null for a run that has ended'),
});
export type AnalysisRun = z.infer<typeof analysisRun>;
export const analysisRunPage = pageOf(analysisRun);
export const analysisRunListQuery = pageQuery.extend({ platform: id.optional() });

const candidateLog = z.object({
  logId: id,
  fileName: z.string(),
  vehicleTitle: z.string(),
  drivenAt: instant,
  outcome: candidateOutcome,
  problem: z.object({ code: z.string(), detail: z.string(), remedy: z.string() }).nullable(),
  found: count,
  lost: count,
  regraded: count,
});
export type CandidateLog = z.infer<typeof candidateLog>;

export const analysisRunResponse = analysisRun.extend({
  effect: runEffect.nullable().describe('null where a run was discarded for a newer one'),
  /** Logs that failed, then those with the most changes; the most of them. */
  changedLogs: z.array(candidateLog),
});
export type AnalysisRunResponse = z.infer<typeof analysisRunResponse>;

/** A log under a run: its shifts as pages show them beside those of the run, in the order of the drive. */
export const candidateResponse = candidateLog.extend({
  pairs: z.array(z.object({ before: shiftRow.nullable(), after: shiftRow.nullable() })),
});
export type CandidateResponse = z.infer<typeof candidateResponse>;

export const beginRunRequest = z.object({
  platform: id,
  policyVersion: count.optional().describe('to grade by; the one in force when left out'),
  reread: z.boolean().default(true).describe('from the original files; else only stored measures are graded again'),
});
export const discardRunRequest = z.object({ note: z.string().trim().max(200).default('') });

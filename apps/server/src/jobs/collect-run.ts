import { PROBLEMS } from '@syncline/contract';
import { type AnalysisRun, MAX_ATTEMPTS, type Store, type StoredProblem } from '@syncline/store';
import { ProblemError } from '../problem-error.js';
import type { AnalysisOutcome } from '../workers/analysis-task.js';
import { unpacked } from '../workers/packs.js';
import { assessShift } from './assess-shift.js';
import { compareResults } from './compare-results.js';
import { foundShifts } from './found-shifts.js';
import { subjectOfRunJob } from './job-kinds.js';
import type { JobContext, JobHandler } from './job-runner.js';
import { type AnalysisSetup, runAnalysis } from './run-analysis.js';

/** Grades the stored shifts of a log by the policy of a run. Measures are not taken anew. */
export function createRegradeLog(store: Store): JobHandler {
  return async (context) => keepRegraded(store, context, null);
}

/**
 * Reads a log anew from its original for a run. Whatever comes of it is a result: of a file that can no longer be read,
 * the shifts of before are graded by the policy of the run, so that no shift stays behind with an older one.
 */
export function createRereadLog(setup: AnalysisSetup): JobHandler {
  const { store } = setup;
  return async (context) => {
    const { logId, run } = findSubject(store, context);
    const input = store.read.logs.findAnalysisInput(logId, run.policyVersion);
    if (!input) throw new Error(`job ${context.job.id} is about no log`);
    try {
      const file = store.signals.newFile(logId);
      await runAnalysis(setup, { input, signalPath: file.path }, context, (outcome) =>
        keepReread(store, context, outcome, file.name),
      );
    } catch (error) {
      const isLast = error instanceof ProblemError || context.job.attempt >= MAX_ATTEMPTS;
      if (context.signal.aborted || !isLast) throw error;
      keepRegraded(store, context, toProblem(error));
    }
  };
}

function keepReread(store: Store, context: JobContext, outcome: AnalysisOutcome, signalFile: string): void {
  if (outcome.kind === 'unreadable' || outcome.kind === 'awaitingMap') {
    keepRegraded(store, context, problemOf(outcome));
    return;
  }
  const { logId, run } = findSubject(store, context);
  const { kind, signalIds, shiftPacks, lockUpPacks, traffics: _traffics, ...found } = outcome;
  const shifts = [...foundShifts(shiftPacks)];
  const problem = kind === 'refused' ? outcome.problem : null;
  store.analysisRuns.keep({
    lease: context.lease,
    runId: run.id,
    logId,
    outcome: 'analysed',
    problem,
    found: {
      ...found,
      lockUps: [...unpacked(lockUpPacks)],
      state: kind,
      problem,
      signalFile: { name: signalFile, signalIds },
    },
    shifts,
    analysisVersion: run.analysisVersion,
    policyVersion: run.policyVersion,
    changes: compareResults(store.read.shifts.ofLog(logId), shifts),
  });
}

function keepRegraded(store: Store, context: JobContext, problem: StoredProblem | null): void {
  const { logId, run } = findSubject(store, context);
  const input = store.read.logs.findAnalysisInput(logId, run.policyVersion);
  if (!input) throw new Error(`job ${context.job.id} is about no log`);
  const { car, policy } = input;
  const before = store.read.shifts.ofLog(logId);
  const shifts = before.map((stored) => ({ ...stored, ...assessShift(stored.shift, car, policy, stored.program) }));
  store.analysisRuns.keep({
    lease: context.lease,
    runId: run.id,
    logId,
    outcome: problem === null ? 'regraded' : 'failed',
    problem,
    found: null,
    shifts,
    analysisVersion: before[0]?.analysisVersion ?? run.analysisVersion,
    policyVersion: run.policyVersion,
    changes: compareResults(before, shifts),
  });
}

function findSubject(store: Store, { job }: JobContext): { readonly logId: string; readonly run: AnalysisRun } {
  const { runId, logId } = subjectOfRunJob(job);
  const run = store.read.analysisRuns.find(runId);
  if (!run) throw new Error(`job ${job.id} is about no run`);
  return { logId, run };
}

function problemOf(
  outcome:
    | { readonly kind: 'unreadable'; readonly code: keyof typeof PROBLEMS; readonly detail: string }
    | { readonly kind: 'awaitingMap'; readonly problem: StoredProblem | null },
): StoredProblem {
  if (outcome.kind === 'unreadable') {
    return { code: outcome.code, detail: outcome.detail, remedy: PROBLEMS[outcome.code].remedy };
  }
  const { remedy } = PROBLEMS['signalMap.invalid'];
  return outcome.problem ?? { code: 'signalMap.invalid', detail: 'Its columns are no longer mapped.', remedy };
}

function toProblem(error: unknown): StoredProblem {
  const code = error instanceof ProblemError ? error.code : 'server.fault';
  const detail = error instanceof ProblemError ? error.message : 'The analysis broke off.';
  return { code, detail, remedy: PROBLEMS[code].remedy };
}

import { isDeepStrictEqual } from 'node:util';
import type { CarFacts, GradingPolicy } from '@syncline/shifts';
import type { AnalysisInput, NewShift, Store } from '@syncline/store';
import { problem } from '../problem-error.js';
import type { AnalysisOutcome } from '../workers/analysis-task.js';
import { unpacked } from '../workers/packs.js';
import { assessShift } from './assess-shift.js';
import { foundShifts } from './found-shifts.js';
import { analysisJob, backgroundAnalysisJob, regradeJob } from './job-kinds.js';
import type { JobContext, JobHandler } from './job-runner.js';
import { type AnalysisSetup, runAnalysis } from './run-analysis.js';
import { enqueueWatches } from './watch-release.js';

/**
 * Decodes and analyses one log on a worker thread, then stores all that was found in one transaction. Until that
 * nothing of the log changes, so that the job may be broken off at any moment and done again.
 */
export function createAnalyseLog(setup: AnalysisSetup, analysisVersion: number): JobHandler {
  const { store } = setup;
  return async (context) => {
    const input = store.read.logs.findAnalysisInput(context.job.logId ?? '');
    if (!input) throw new Error(`job ${context.job.id} is about no log`);
    const file = store.signals.newFile(input.logId);
    await runAnalysis(setup, { input, signalPath: file.path }, context, (outcome) => {
      keepOutcome(store, context, { outcome, signalFile: file.name, input, analysisVersion });
      if (outcome.kind === 'ready') enqueueWatches(store, input.logId);
    });
  };
}

function keepOutcome(
  store: Store,
  { lease }: JobContext,
  done: {
    readonly outcome: AnalysisOutcome;
    readonly signalFile: string;
    readonly input: AnalysisInput;
    readonly analysisVersion: number;
  },
): void {
  const { outcome, signalFile, input, analysisVersion } = done;
  const { logId } = input;
  switch (outcome.kind) {
    case 'unreadable':
      throw problem(outcome.code, { detail: outcome.detail });
    case 'awaitingMap':
      store.repeatable(() => {
        store.logs.awaitMap({ lease, logId, inspection: outcome.inspection, problem: outcome.problem });
        requeueIfHelped(store, input);
      });
      return;
    case 'refused':
    case 'ready': {
      const { kind, signalIds, shiftPacks, lockUpPacks, traffics: _traffics, ...found } = outcome;
      store.repeatable(() => {
        const now = store.read.logs.findAnalysisInput(logId) ?? input;
        store.logs.replaceAnalysis({
          ...found,
          ...gradeByPolicyInForce({ used: input, now }, foundShifts(shiftPacks)),
          lockUps: unpacked(lockUpPacks),
          lease,
          logId,
          state: kind,
          problem: outcome.kind === 'refused' ? outcome.problem : null,
          analysisVersion,
          signalFile: { name: signalFile, signalIds },
          candidateJobFor: (runId) => regradeJob(runId, logId),
        });
        requeueIfCarChanged(store, { used: input, now });
      });
      return;
    }
    default:
      outcome satisfies never;
  }
}

/** What was entered while the log was read has not queued it again: it was not waiting yet. */
function requeueIfHelped(store: Store, { logId, ownerId, ...then }: AnalysisInput): void {
  const now = store.read.logs.findAnalysisInput(logId) ?? then;
  const isSame = (['signalMaps', 'signalLists', 'dialectId'] as const).every((key) =>
    isDeepStrictEqual(now[key], then[key]),
  );
  if (!isSame) store.jobs.enqueue(analysisJob(logId, ownerId));
}

/** What a log was read with, and what it would be read with now. */
interface ThenAndNow {
  readonly used: AnalysisInput;
  readonly now: AnalysisInput;
}

/** A policy that came into force while the log was analysed grades it all the same: no page shows two at once. */
function gradeByPolicyInForce(
  { used, now: { policy } }: ThenAndNow,
  shifts: Iterable<NewShift>,
): { readonly policyVersion: number; readonly shifts: Iterable<NewShift> } {
  if (policy.version === used.policy.version) return { policyVersion: policy.version, shifts };
  return { policyVersion: policy.version, shifts: regraded(shifts, used.car, policy) };
}

function* regraded(shifts: Iterable<NewShift>, car: CarFacts, policy: GradingPolicy): Generator<NewShift> {
  for (const entry of shifts) yield { ...entry, ...assessShift(entry.shift, car, policy, entry.program) };
}

/** A car that was corrected while its log was analysed has not queued it again: it was running. */
function requeueIfCarChanged(store: Store, { used: { logId, ownerId, car }, now }: ThenAndNow): void {
  if (!isDeepStrictEqual(now.car, car)) store.jobs.enqueue(backgroundAnalysisJob(logId, ownerId));
}

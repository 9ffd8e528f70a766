import type { RunEffect } from '@syncline/contract';
import type {
  AnalysisRun,
  CandidateDetail,
  CandidateSummary,
  Page,
  PageRequest,
  RunReason,
  Store,
  Actor as StoreActor,
  StoredShift,
} from '@syncline/store';
import { pairResults, type ShiftPair } from '../jobs/compare-results.js';
import { runMemberJob } from '../jobs/job-kinds.js';
import { notFound } from '../problem-error.js';
import { type Actor, scopeOf } from './actor.js';
import { computeRunEffect } from './run-effect.js';

/** Logs of a run that are listed with it. */
const LISTED_LOGS = 100;

/** Begins runs at start, when no one asks for them. */
const SERVER: StoreActor = { kind: 'system', id: null, name: 'the server', requestId: 'start' };

export type ReanalysisService = ReturnType<typeof createReanalysisService>;

/**
 * Analysis runs: new results of a platform's logs, collected beside those that pages show, with what they change, until
 * a maintainer switches to them or discards them.
 */
export function createReanalysisService(
  store: Store,
  { analysisVersion, nudgeJobs }: { readonly analysisVersion: number; readonly nudgeJobs: () => void },
) {
  const { read, analysisRuns } = store;

  function get(runId: string): AnalysisRun {
    const run = read.analysisRuns.find(runId);
    if (!run) throw notFound('analysis run');
    return run;
  }

  /** Of an open run as it is now, of an ended one as it was then. */
  function effectOf(run: AnalysisRun): RunEffect | null {
    if (run.endedAtMs !== null) return run.effect as RunEffect | null;
    const kindOrder = read.platforms.find(run.platformId)?.platform.shifts.map(({ id }) => id) ?? [];
    return computeRunEffect(read.analysisRuns.candidates(run.id), kindOrder);
  }

  /** Joins the transaction of its caller. A platform without anything to compare is switched over at once. */
  function begin(
    actor: StoreActor,
    run: { readonly platformId: string; readonly reason: RunReason; readonly policyVersion: number },
  ): string {
    return store.transaction(() => {
      const about = { ...run, analysisVersion };
      const { runId, logCount } = analysisRuns.begin({
        ...about,
        actor,
        jobFor: (id, log) => runMemberJob(about, id, log),
      });
      if (logCount === 0) analysisRuns.switchTo({ actor, runId, effect: effectOf(get(runId)) });
      nudgeJobs();
      return runId;
    });
  }

  return {
    list: (filter: { readonly platformId?: string }, page: PageRequest): Page<AnalysisRun> =>
      read.analysisRuns.list(filter, page),

    get(runId: string): {
      run: AnalysisRun;
      effect: RunEffect | null;
      changed: readonly CandidateSummary[];
    } {
      const run = get(runId);
      return { run, effect: effectOf(run), changed: read.analysisRuns.listChanged(runId, LISTED_LOGS) };
    },

    /** A log as pages show it beside its result in a run. The results of a run go with its end. */
    getLog(
      actor: Actor,
      runId: string,
      logId: string,
    ): { candidate: CandidateDetail; pairs: readonly ShiftPair<StoredShift>[] } {
      get(runId);
      const candidate = read.analysisRuns.findCandidate(scopeOf(actor), runId, logId);
      if (!candidate) throw notFound('result of this log in the run');
      return { candidate, pairs: pairResults(read.shifts.ofLog(logId), candidate.shifts) };
    },

    /** Reads every log of a platform anew from its original, or only grades it anew; by the policy in force or another. */
    begin(
      actor: Actor,
      platformId: string,
      { policyVersion, reread }: { readonly policyVersion?: number; readonly reread: boolean },
    ): AnalysisRun {
      const policy = read.platforms.findPolicy(platformId, policyVersion);
      if (!policy) throw notFound(read.platforms.find(platformId) ? 'grading policy' : 'platform');
      const reason = reread ? 'asked' : 'policy';
      return get(begin(actor, { platformId, reason, policyVersion: policy.version }));
    },

    /** Grades every shift of a platform by a policy that was just made. */
    beginForPolicy(actor: Actor, platformId: string, policyVersion: number): void {
      begin(actor, { platformId, reason: 'policy', policyVersion });
    },

    /** To be called once at start: goes on with runs that were broken off, and begins those that are due. */
    takeUp(): void {
      for (const versions of read.analysisRuns.listVersions(analysisVersion)) {
        const { platformId, policyInForce, hasOlderAnalysis, hasOtherPolicy, hadRun } = versions;
        const open = read.analysisRuns.findOpen(platformId);
        if (open?.analysisVersion === analysisVersion) {
          analysisRuns.resume({ runId: open.id, jobFor: (runId, log) => runMemberJob(open, runId, log) });
        } else if (open || (hasOlderAnalysis && !hadRun)) {
          // Another version of the program collected the open run: its results are not those of this one.
          const reason = hasOlderAnalysis ? 'analysis' : (open?.reason ?? 'policy');
          begin(SERVER, { platformId, reason, policyVersion: open?.policyVersion ?? policyInForce });
        } else if (hasOtherPolicy) {
          begin(SERVER, { platformId, reason: 'policy', policyVersion: policyInForce });
        }
      }
    },

    /** The effect that is kept is that of the very results switched to. */
    switchTo: (actor: Actor, runId: string): AnalysisRun =>
      store.transaction(() => {
        analysisRuns.switchTo({ actor, runId, effect: effectOf(get(runId)) });
        return get(runId);
      }),

    discard: (actor: Actor, runId: string, note: string): AnalysisRun =>
      store.transaction(() => {
        analysisRuns.discard({ actor, runId, note, effect: effectOf(get(runId)) });
        return get(runId);
      }),
  };
}

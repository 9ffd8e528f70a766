import type { LockUpEpisode } from '@syncline/shifts';
import type { Actor, Scope } from '../actor.js';
import type { OutcomeCounts } from '../fleet/fleet.js';
import type { JobLease, NewJob } from '../jobs/jobs.js';
import type { StoredProblem } from '../logs/log-state.js';
import type { AnalysisResult } from '../logs/logs.js';
import type { Page, PageRequest } from '../page.js';
import type { GradeCounts, NewShift, StoredShift } from '../shifts/shifts.js';

/**
 * Why a platform's logs are worked on again: a newer analysis, a newer grading policy, or because a maintainer asked
 * for it.
 */
export type RunReason = 'analysis' | 'policy' | 'asked';

/** `collecting` until every log has its new result; `ready` to be switched to or discarded. */
export type RunState = 'collecting' | 'ready' | 'switched' | 'discarded';

export interface AnalysisRun {
  readonly id: string;
  readonly platformId: string;
  readonly platformTitle: string;
  readonly reason: RunReason;
  readonly analysisVersion: number;
  readonly policyVersion: number;
  /** What pages show until the switch; what they showed is in the effect of an ended run. */
  readonly policyInForce: number;
  readonly state: RunState;
  readonly beganAtMs: number;
  readonly beganByName: string;
  readonly endedAtMs: number | null;
  readonly endedByName: string | null;
  readonly endNote: string | null;
  /** Logs that have their new result, and all of them; `stuck` ones gave up and wait for the next start. Null when ended. */
  readonly progress: { readonly done: number; readonly stuck: number; readonly total: number } | null;
  /** As it was given when the run ended; null before. */
  readonly effect: unknown;
}

/** How the shifts of one kind in one log differ between what pages show and the result of a run. */
export interface KindChange {
  readonly before: OutcomeCounts;
  readonly after: OutcomeCounts;
  /** Shifts without a counterpart before, and after. */
  readonly found: number;
  readonly lost: number;
  /** Shifts of both with other grades. */
  readonly regraded: number;
  /** Of those, how many have a grade only now, and only before. */
  readonly gained: GradeCounts;
  readonly dropped: GradeCounts;
}

/** By kind of shift; kinds in which nothing was driven are left out. */
export type ResultChanges = Readonly<Record<string, KindChange>>;

/** All that an analysis finds beside shifts, as it waits with a run. */
export interface FoundBesideShifts
  extends Omit<
    AnalysisResult,
    'lease' | 'logId' | 'shifts' | 'lockUps' | 'analysisVersion' | 'policyVersion' | 'candidateJobFor'
  > {
  readonly lockUps: readonly LockUpEpisode[];
}

/**
 * `analysed` anew from the original; `regraded` from the stored measures; `failed`: it could not be read again, and
 * the shifts of before, if any, are graded anew.
 */
export type CandidateOutcome = 'analysed' | 'regraded' | 'failed';

export interface Candidate {
  readonly logId: string;
  readonly vehicleId: string;
  readonly outcome: CandidateOutcome;
  readonly changes: ResultChanges;
}

export interface CandidateSummary {
  readonly logId: string;
  readonly fileName: string;
  readonly vehicleTitle: string;
  readonly drivenAtMs: number;
  readonly outcome: CandidateOutcome;
  readonly problem: StoredProblem | null;
  readonly changes: ResultChanges;
  readonly changeCount: number;
}

export interface CandidateDetail extends CandidateSummary {
  readonly found: FoundBesideShifts | null;
  /** In the order of the drive. */
  readonly shifts: readonly StoredShift[];
}

/** What the results of a platform were made with, for the decision whether a run is due. */
export interface ResultVersions {
  readonly platformId: string;
  readonly policyInForce: number;
  /** Whether results of an older analysis than the one asked about are shown. */
  readonly hasOlderAnalysis: boolean;
  /** Whether shifts are shown that another policy than the one in force graded. */
  readonly hasOtherPolicy: boolean;
  /** Whether any run of the analysis asked about was ever begun. */
  readonly hadRun: boolean;
}

/** A log that a run may have to do with. */
export interface RunMember {
  readonly logId: string;
  /** Of its result; null when there is none because the file could not be read. */
  readonly analysisVersion: number | null;
  /** Whether there is an original to read anew. */
  readonly hasOriginal: boolean;
}

export interface AnalysisRunReads {
  /** Newest first. */
  list(filter: { readonly platformId?: string }, page: PageRequest): Page<AnalysisRun>;
  find(runId: string): AnalysisRun | undefined;
  /** The run of a platform that is neither switched to nor discarded. */
  findOpen(platformId: string): AnalysisRun | undefined;
  /** The results that a run has so far. */
  candidates(runId: string): readonly Candidate[];
  /** The logs of a run that failed first, then those with the most changes. */
  listChanged(runId: string, limit: number): readonly CandidateSummary[];
  findCandidate(scope: Scope, runId: string, logId: string): CandidateDetail | undefined;
  /** Every platform, held against an analysis. */
  listVersions(analysisVersion: number): readonly ResultVersions[];
}

export interface AnalysisRunWrites {
  /**
   * Begins a run: queues one job for each log of the platform that `jobFor` names one for. A run that is open is
   * discarded for it. Throws `not_found` for the platform or the policy.
   */
  begin(input: {
    readonly actor: Actor;
    readonly platformId: string;
    readonly reason: RunReason;
    readonly analysisVersion: number;
    readonly policyVersion: number;
    readonly jobFor: (runId: string, log: RunMember) => NewJob | null;
  }): { readonly runId: string; readonly logCount: number };
  /** Queues what a run still lacks and nothing works on: logs whose job gave up. Returns how many. */
  resume(input: { readonly runId: string; readonly jobFor: (runId: string, log: RunMember) => NewJob | null }): number;
  /** Ends a job of a run with its result. Twice equals once. Throws `lease_lost`; then nothing is kept. */
  keep(input: {
    readonly lease: JobLease;
    readonly runId: string;
    readonly logId: string;
    readonly outcome: CandidateOutcome;
    /** Why it failed; null otherwise. */
    readonly problem: StoredProblem | null;
    readonly found: FoundBesideShifts | null;
    readonly shifts: readonly NewShift[];
    /** Of the shifts: what they were measured with. */
    readonly analysisVersion: number;
    readonly policyVersion: number;
    readonly changes: ResultChanges;
  }): void;
  /**
   * Puts the results of a run in the place of those that pages show, with summaries and policy, in one transaction.
   * Throws `run_not_ready` while logs lack their result, `run_ended` for a run that has ended.
   */
  switchTo(input: { readonly actor: Actor; readonly runId: string; readonly effect: unknown }): void;
  /** Ends a run without an effect. Throws `run_ended`. */
  discard(input: {
    readonly actor: Actor;
    readonly runId: string;
    readonly note: string;
    readonly effect: unknown;
  }): void;
  /** Removes results of ended runs, at most of this many logs. Returns of how many; 0 when nothing is left. */
  sweep(maxLogs: number): number;
}

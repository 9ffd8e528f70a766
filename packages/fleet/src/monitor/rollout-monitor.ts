import { type CompareOptions, compareOutcomes, type OutcomeComparison } from '../compare/compare-outcomes.js';
import type { OutcomeTable } from '../compare/outcome-table.js';
import type { Interval } from '../rates/wilson-interval.js';
import { normalCdf } from '../special/normal.js';
import { studentUpperQuantile } from '../special/student.js';
import { mixtureBoundary } from './normal-mixture.js';

export interface MonitorOptions extends CompareOptions {
  /** Probability, over all looks together, of calling harm where there is none; the same for `safe`. Default 0.05. */
  readonly falseAlarm?: number;
  /** Rise of the rate that the rollout may not exceed, e.g. 0.02. Default 0: no proven rise at all. */
  readonly harmLimit?: number;
  /**
   * Change of the rate that the monitor is tuned to see soonest. Default 0.05. Several share the false alarm and each look
   * takes the narrowest bound: small changes are then seen in the end, and large ones at once.
   */
  readonly mixingSd?: number | readonly number[];
}

/**
 * One look at a running rollout. `harm`: the rise is proven to exceed the limit, hold the rollout. `safe`: it is proven
 * to stay below. `open`: neither yet. `insufficient`: too little to look at.
 */
export type RolloutLook =
  | { readonly kind: 'insufficient'; readonly comparison: OutcomeComparison }
  | {
      readonly kind: 'harm' | 'safe' | 'open';
      /** Change of the rate, newer minus replaced, adjusted for driving. */
      readonly change: number;
      /** Always-valid: each end is passed by the truth, at any look, with probability at most `falseAlarm`. */
      readonly interval: Interval;
      readonly comparison: OutcomeComparison;
    };

/**
 * Looks at the change of a rate against the revision replaced (methods.md 7), as often as wanted: the interval is
 * always-valid, so that the false alarms of all looks together stay below `falseAlarm`. The estimate is the adjusted one of `compareOutcomes`, so harder driving is no alarm, and its
 * variance comes from the vehicles; with few of them the boundary is widened from normal to Student's at equal tail.
 */
export function lookAtRollout(table: OutcomeTable, options: MonitorOptions = {}): RolloutLook {
  const { harmLimit = 0, mixingSd = 0.05, falseAlarm = 0.05 } = options;
  const comparison = compareOutcomes(table, options);
  if (comparison.kind === 'insufficient') return { kind: 'insufficient', comparison };
  const { difference, standardError, degreesOfFreedom } = comparison.adjusted;
  const spreads = [mixingSd].flat();
  const confidence = 1 - (2 * falseAlarm) / spreads.length;
  const boundary = Math.min(...spreads.map((spread) => mixtureBoundary(standardError, spread, confidence)));
  const half = studentUpperQuantile(normalCdf(-boundary), degreesOfFreedom) * standardError;
  const interval = { low: Math.max(-1, difference - half), high: Math.min(1, difference + half) };
  const kind = interval.low > harmLimit ? 'harm' : interval.high < harmLimit ? 'safe' : 'open';
  return { kind, change: difference, interval, comparison };
}

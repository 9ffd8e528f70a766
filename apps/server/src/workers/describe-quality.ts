import {
  type QualityFinding,
  type ReadFindings,
  SIGNAL_IDS,
  type TimeStatistics,
  timingSuitability,
} from '@syncline/drivelog';
import type { LogQualityDocument } from '@syncline/store';

/** How a log was sampled and put together, in the words of the store. */
export function toQualityDocument(
  times: TimeStatistics,
  { join, bus }: ReadFindings,
  findings: readonly QualityFinding[],
): LogQualityDocument {
  const { medianIntervalS, intervalSpread, longestIntervalS, gaps, repeatedTimes, stepsBack, longestStepBackS } = times;
  const { kind, reason } = timingSuitability(times);
  return {
    timing: {
      rateHz: medianIntervalS === null ? null : 1 / medianIntervalS,
      jitter: intervalSpread,
      longestIntervalS,
      gaps,
      repeatedTimes,
      stepsBack,
      longestStepBackS,
      suitability: kind,
      reason,
    },
    join: join ? { base: join.base, signals: joinedSignals(join) } : null,
    bus: bus ?? null,
    findings,
  };
}

function joinedSignals({ signals }: NonNullable<ReadFindings['join']>) {
  return SIGNAL_IDS.flatMap((signal) => {
    const joined = signals[signal];
    if (joined === undefined) return [];
    const { rule, sampleCount, largestGapS, largestGapStartS } = joined;
    const startS = Number.isFinite(largestGapStartS) ? largestGapStartS : null;
    return [{ signal, rule, sampleCount, largestGapS, largestGapStartS: startS }];
  });
}

import { crossingS } from './phases.js';
import type { Trace } from './trace.js';

/** When the measured ratio had made 10 % and 90 % of its step; null where the log does not show it. */
export interface RatioStepTimes {
  readonly ratio10S: number | null;
  readonly ratio90S: number | null;
}

/**
 * Times at which input speed over output speed has gone 10 % and 90 % of the way between two ratios: the first
 * passage of 90 % after the step began, and the last passage of 10 % before it. Sought between two times.
 */
export function ratioStepTimes(
  trace: Trace,
  step: { readonly fromRatio: number; readonly toRatio: number; readonly fromS: number; readonly untilS: number },
): RatioStepTimes {
  const beyond = (position: number, share: number): number =>
    ((trace.smoothInputRpm[position] as number) / (trace.smoothOutputRpm[position] as number) - step.fromRatio) /
      (step.toRatio - step.fromRatio) -
    share;
  const from = Math.max(trace.positionAt(step.fromS), trace.smoothedFrom);
  const to = Math.min(trace.positionAt(step.untilS) + 1, trace.length);
  let position = from;
  while (position + 1 < to && !(beyond(position, 0.9) < 0 && beyond(position + 1, 0.9) >= 0)) position++;
  const hasEnd = position + 1 < to;
  const ratio90S = hasEnd ? crossingS(trace, position, beyond(position, 0.9), beyond(position + 1, 0.9)) : null;
  position = Math.min(position, to - 2);
  while (position >= from && !(beyond(position, 0.1) < 0 && beyond(position + 1, 0.1) >= 0)) position--;
  const ratio10S =
    position >= from ? crossingS(trace, position, beyond(position, 0.1), beyond(position + 1, 0.1)) : null;
  return { ratio10S, ratio90S };
}

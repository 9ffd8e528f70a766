import type { GearLines } from './gear-lines.js';
import type { Trace } from './trace.js';

/** Before a change the old gear must have been held this long to count as settled (s). */
const SETTLED_S = 0.2;

/**
 * First moment of lasting synchronisation with a line: the start of the unbroken stretch within tolerance that holds
 * the position given (methods.md 2.4). Interpolated between samples. Null when the trace begins inside.
 */
export function findSync(trace: Trace, lines: GearLines, toLine: number, heldPosition: number): number | null {
  const ratio = lines.ratio(toLine);
  const excess = (position: number, sign: number): number =>
    sign * trace.departure(position, ratio) -
    lines.smoothToleranceRpm(toLine, trace.smoothOutputRpm[position] as number);
  let position = heldPosition;
  while (position > trace.smoothedFrom && Math.max(excess(position, 1), excess(position, -1)) <= 0) position--;
  if (position === heldPosition) return trace.timeS[position] as number;
  const sign = Math.sign(trace.departure(position, ratio));
  const outside = excess(position, sign);
  if (outside <= 0) return null;
  return crossingS(trace, position, outside, excess(position + 1, sign));
}

/**
 * Start of the inertia phase: the last crossing of the old line's tolerance, downwards in an upshift and upwards in a
 * downshift, before `beforeS` (methods.md 2.4). Null when the trace does not hold it.
 */
export function findInertiaStart(
  trace: Trace,
  lines: GearLines,
  change: { readonly fromLine: number; readonly direction: 1 | -1 },
  beforePosition: number,
): number | null {
  const ratio = lines.ratio(change.fromLine);
  const excess = (position: number): number =>
    change.direction * trace.departure(position, ratio) -
    lines.smoothToleranceRpm(change.fromLine, trace.smoothOutputRpm[position] as number);
  let position = beforePosition;
  if (position < trace.smoothedFrom || excess(position) <= 0) return null;
  while (position > trace.smoothedFrom && excess(position) > 0) position--;
  const inside = excess(position);
  if (inside > 0) return null;
  return crossingS(trace, position, inside, excess(position + 1));
}

/** Last moment of settled driving on a line before `beforePosition`; null when the trace does not hold it. */
export function findLastSettled(trace: Trace, lines: GearLines, line: number, beforePosition: number): number | null {
  let heldUntil = -1;
  for (let position = beforePosition; position >= trace.smoothedFrom; position--) {
    const tolerance = lines.smoothToleranceRpm(line, trace.smoothOutputRpm[position] as number);
    if (Math.abs(trace.departure(position, lines.ratio(line))) > tolerance) heldUntil = -1;
    else if (heldUntil < 0) heldUntil = position;
    if (heldUntil >= 0 && (trace.timeS[heldUntil] as number) - (trace.timeS[position] as number) >= SETTLED_S) {
      return trace.timeS[heldUntil] as number;
    }
  }
  return null;
}

/** Time at which a value that is `at` at a position and `after` at the next passes zero. */
export function crossingS(trace: Trace, position: number, at: number, after: number): number {
  const fromS = trace.timeS[position] as number;
  return fromS + (at / (at - after)) * ((trace.timeS[position + 1] as number) - fromS);
}

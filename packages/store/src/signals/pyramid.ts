/**
 * Samples that one entry of each level stands for. Each divides the chunk size, so that a level can be made chunk by
 * chunk; in all they add 17 % of a minimum and a maximum to the samples.
 */
export const LEVEL_FACTORS = [16, 64, 256, 1024, 4096] as const;

export interface Extremes {
  readonly min: Float64Array;
  readonly max: Float64Array;
}

/**
 * Smallest and largest value of each run of `factor` entries; the last run may be shorter. NaN entries are left out, a
 * run of nothing else is NaN. Filled into `into`, which has room for as many as there are runs. O(n).
 */
export function condense(
  { min, max }: Extremes,
  factor: number,
  into = roomForExtremes(runCount(min.length, factor)),
): Extremes {
  for (let run = 0, start = 0; start < min.length; run++, start += factor) {
    const end = Math.min(start + factor, min.length);
    let i = start;
    // Both are NaN together. One that comes later is neither smaller nor larger than anything.
    while (i < end - 1 && Number.isNaN(min[i])) i++;
    let low = min[i];
    let high = max[i];
    for (i++; i < end; i++) {
      const least = min[i];
      const most = max[i];
      if (least < low) low = least;
      if (most > high) high = most;
    }
    into.min[run] = low;
    into.max[run] = high;
  }
  return into;
}

/** Runs of `factor` entries, the last of which may be shorter. */
export function runCount(length: number, factor: number): number {
  return Math.ceil(length / factor);
}

function roomForExtremes(count: number): Extremes {
  return { min: new Float64Array(count), max: new Float64Array(count) };
}

/** Every `factor`-th entry, beginning with the first; filled into `into`, which has room for as many. */
export function firsts(
  values: Float64Array,
  factor: number,
  into: Float64Array = new Float64Array(runCount(values.length, factor)),
): Float64Array {
  for (let i = 0; i < into.length; i++) into[i] = values[i * factor];
  return into;
}

/** How a window is drawn: which entries to read and how many of them make a point. */
export interface WindowPlan {
  /** Samples per entry that is read: 1 for the samples themselves, else one of `LEVEL_FACTORS`. */
  readonly factor: number;
  /** A multiple of `factor`; 1 when every sample is a point. */
  readonly samplesPerPoint: number;
  /** Widened to whole points, so that panning does not make peaks dance. */
  readonly startIndex: number;
  readonly endIndex: number;
}

/**
 * Plans a window of samples for at most `points` (≥ 2) points. Takes the highest level that still gives a point at
 * least four entries, so that rounding up to whole entries costs little, and reads few entries at any zoom.
 */
export function planWindow(
  { startIndex, endIndex }: { readonly startIndex: number; readonly endIndex: number },
  { points, sampleCount }: { readonly points: number; readonly sampleCount: number },
): WindowPlan {
  const count = endIndex - startIndex;
  if (count <= points) return { factor: 1, samplesPerPoint: 1, startIndex, endIndex };
  // Widening adds less than one point at each end, hence one fewer here.
  const wanted = Math.ceil(count / (points - 1));
  const factor = LEVEL_FACTORS.findLast((level) => level * 4 <= wanted) ?? (wanted >= 32 ? LEVEL_FACTORS[0] : 1);
  const samplesPerPoint = Math.ceil(wanted / factor) * factor;
  return {
    factor,
    samplesPerPoint,
    startIndex: Math.floor(startIndex / samplesPerPoint) * samplesPerPoint,
    endIndex: Math.min(Math.ceil(endIndex / samplesPerPoint) * samplesPerPoint, sampleCount),
  };
}

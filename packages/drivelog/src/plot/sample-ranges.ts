/** Samples from startIndex up to endIndex, exclusive. */
export interface SampleRange {
  readonly startIndex: number;
  readonly endIndex: number;
}

/**
 * The smallest range that holds every sample with startS ≤ t < endS, with one neighbour at each end so that a drawn line
 * reaches the edges. With steps back in time it may hold samples outside too. Empty range when no sample is inside.
 */
export function rangeOfWindow(timeS: Float64Array, startS: number, endS: number): SampleRange {
  const isInside = (t: number) => t >= startS && t < endS;
  const first = timeS.findIndex(isInside);
  if (first === -1) return { startIndex: 0, endIndex: 0 };
  const last = timeS.findLastIndex(isInside);
  return { startIndex: Math.max(0, first - 1), endIndex: Math.min(timeS.length, last + 2) };
}

/**
 * Cuts samples into runs of strictly rising time, which a line chart needs: a repeated time or a step back begins a new
 * run. The runs together are all samples.
 */
export function risingRuns(timeS: Float64Array): SampleRange[] {
  const runs: SampleRange[] = [];
  let startIndex = 0;
  for (let i = 1; i <= timeS.length; i++) {
    if (i < timeS.length && timeS[i] > timeS[i - 1]) continue;
    runs.push({ startIndex, endIndex: i });
    startIndex = i;
  }
  return runs;
}

/** Makes the median absolute deviation agree with the standard deviation of a normal law: 1/Φ⁻¹(3/4). */
const NORMAL_CONSISTENCY = 1.4826022185056018;

/** Median of the finite values; the mean of the middle two when their count is even. NaN when there are none. */
export function median(values: ArrayLike<number>): number {
  const finite = new Float64Array(values.length);
  let count = 0;
  for (let i = 0; i < values.length; i++) {
    const value = values[i] as number;
    if (Number.isFinite(value)) finite[count++] = value;
  }
  return medianOfSorted(finite.subarray(0, count).sort());
}

/**
 * Robust standard deviation: median absolute deviation about the median, times 1.4826 so that normal noise of
 * standard deviation σ gives σ (Huber, Robust Statistics, 1981). NaN when no value is finite.
 */
export function robustDeviation(values: ArrayLike<number>): number {
  const centre = median(values);
  const deviations = new Float64Array(values.length);
  for (let i = 0; i < values.length; i++) deviations[i] = Math.abs((values[i] as number) - centre);
  return NORMAL_CONSISTENCY * median(deviations);
}

function medianOfSorted(sorted: Float64Array): number {
  const half = sorted.length >> 1;
  if (sorted.length === 0) return Number.NaN;
  if (sorted.length % 2 === 1) return sorted[half] as number;
  return ((sorted[half - 1] as number) + (sorted[half] as number)) / 2;
}

const BLOCK_SAMPLES = 64;
const BLOCKS_KEPT = 5;
/** Values left out after each block: noise changes slowly, and sorting blocks is the dearest part of it. */
const SKIPPED_SAMPLES = 192;

/**
 * Running robust noise of one quantity: the median over the last five blocks of 64 values of each block's robust
 * deviation. Blocks are counted from the first value, so the figure depends on the order of the values alone and not
 * on how they were handed over. 0 until the first block is full.
 */
export class RunningNoise {
  noise = 0;
  private readonly block = new Float64Array(BLOCK_SAMPLES);
  private readonly recent: number[] = [];
  /** Place in the block; negative while values are left out. */
  private filled = 0;

  add(value: number): void {
    if (this.filled >= 0) this.block[this.filled] = value;
    this.filled++;
    if (this.filled < BLOCK_SAMPLES) return;
    this.filled = -SKIPPED_SAMPLES;
    this.recent.push(blockDeviation(this.block));
    if (this.recent.length > BLOCKS_KEPT) this.recent.shift();
    this.noise = median(this.recent);
  }
}

/** As `robustDeviation`, for a full block of finite values that may be overwritten: no allocation. */
function blockDeviation(block: Float64Array): number {
  block.sort();
  const centre = medianOfSorted(block);
  for (let i = 0; i < block.length; i++) block[i] = Math.abs((block[i] as number) - centre);
  block.sort();
  return NORMAL_CONSISTENCY * medianOfSorted(block);
}

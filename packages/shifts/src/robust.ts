/** Makes the median absolute deviation agree with the standard deviation of a normal law: 1/Φ⁻¹(3/4). */
const NORMAL_CONSISTENCY = 1.4826022185056018;

/** Where values are put in order; grows to the longest list. Each call of this module begins with it anew. */
let scratch = new Float64Array(1024);

/** Median of the finite values; the mean of the middle two when their count is even. NaN when there are none. */
export function median(values: ArrayLike<number>): number {
  const count = takeFinite(values);
  return medianInPlace(scratch, count);
}

/**
 * Robust standard deviation: median absolute deviation about the median, times 1.4826 so that normal noise of
 * standard deviation σ gives σ (Huber, Robust Statistics, 1981). NaN when no value is finite.
 */
export function robustDeviation(values: ArrayLike<number>): number {
  const count = takeFinite(values);
  return deviationInPlace(scratch, count);
}

/** Copies the finite values to the front of the scratch; answers how many there are. */
function takeFinite(values: ArrayLike<number>): number {
  if (values.length > scratch.length) scratch = new Float64Array(2 * values.length);
  let count = 0;
  for (let i = 0; i < values.length; i++) {
    const value = values[i] as number;
    if (Number.isFinite(value)) scratch[count++] = value;
  }
  return count;
}

/** Robust deviation of the first `count` values, all finite, which are overwritten. */
function deviationInPlace(values: Float64Array, count: number): number {
  const centre = medianInPlace(values, count);
  for (let i = 0; i < count; i++) values[i] = Math.abs((values[i] as number) - centre);
  return NORMAL_CONSISTENCY * medianInPlace(values, count);
}

/** Median of the first `count` values, which change places. */
function medianInPlace(values: Float64Array, count: number): number {
  if (count === 0) return Number.NaN;
  const half = count >> 1;
  select(values, count, half);
  const upper = values[half] as number;
  if (count % 2 === 1) return upper;
  let lower = values[0] as number;
  for (let i = 1; i < half; i++) if ((values[i] as number) > lower) lower = values[i] as number;
  return (lower + upper) / 2;
}

/**
 * Brings the value of rank `rank` to its place, none greater before it and none less behind it, in linear time on
 * average (C. A. R. Hoare, “Algorithm 65: Find”, 1961); several times as fast as sorting.
 */
function select(values: Float64Array, count: number, rank: number): void {
  let left = 0;
  let right = count - 1;
  while (left < right) {
    const pivot = values[(left + right) >> 1] as number;
    let i = left;
    let j = right;
    while (i <= j) {
      while ((values[i] as number) < pivot) i++;
      while ((values[j] as number) > pivot) j--;
      if (i > j) break;
      const swapped = values[i] as number;
      values[i] = values[j] as number;
      values[j] = swapped;
      i++;
      j--;
    }
    if (rank <= j) right = j;
    else if (rank >= i) left = i;
    else return;
  }
}

const BLOCK_SAMPLES = 64;
const BLOCKS_KEPT = 5;
/** Values left out after each block: noise changes slowly, and a block costs more than all samples between. */
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
    this.recent.push(deviationInPlace(this.block, BLOCK_SAMPLES));
    if (this.recent.length > BLOCKS_KEPT) this.recent.shift();
    this.noise = median(this.recent);
  }
}

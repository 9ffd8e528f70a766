/**
 * A signal condensed into blocks of `samplesPerBlock` consecutive samples; the last block may be shorter. Plain typed
 * arrays, one entry per block.
 */
export interface PyramidLevel {
  readonly samplesPerBlock: number;
  readonly sampleCount: number;
  readonly tMin: Float64Array;
  readonly tMax: Float64Array;
  /** Of the values that are not NaN; NaN when the block has none. */
  readonly min: Float64Array;
  readonly max: Float64Array;
  readonly first: Float64Array;
  readonly last: Float64Array;
  /** Samples with a value. */
  readonly count: Uint32Array;
}

/** A signal condensed at several scales, finest first, so that any window of a long log is drawn from few numbers. */
export interface Pyramid {
  readonly sampleCount: number;
  readonly levels: readonly PyramidLevel[];
}

/** Samples of the finest blocks, and blocks of one level that make a block of the next. */
const DEFAULT_FACTOR = 16;

/**
 * Condenses consecutive samples. Batches may be condensed one by one and joined, as long as each but the last holds a
 * whole number of blocks.
 */
export function condenseSamples(
  timeS: Float64Array,
  values: Float64Array,
  samplesPerBlock: number = DEFAULT_FACTOR,
): PyramidLevel {
  const level = emptyLevel(samplesPerBlock, timeS.length);
  for (let i = 0; i < timeS.length; i++) {
    const block = Math.floor(i / samplesPerBlock);
    const t = timeS[i];
    const value = values[i];
    addToBlock(level, block, t, t, value, value, value, value, Number.isNaN(value) ? 0 : 1);
  }
  return level;
}

/** Puts condensed batches of one signal in a row. Throws RangeError when one before the last ends within a block. */
export function joinLevels(parts: readonly PyramidLevel[]): PyramidLevel {
  const samplesPerBlock = parts[0]?.samplesPerBlock ?? DEFAULT_FACTOR;
  for (const part of parts.slice(0, -1)) {
    if (part.samplesPerBlock === samplesPerBlock && part.sampleCount % samplesPerBlock === 0) continue;
    throw new RangeError(`joinLevels: ${part.sampleCount} samples do not fill blocks of ${samplesPerBlock}`);
  }
  const level = emptyLevel(
    samplesPerBlock,
    parts.reduce((sum, part) => sum + part.sampleCount, 0),
  );
  let block = 0;
  for (const part of parts) {
    for (const key of ['tMin', 'tMax', 'min', 'max', 'first', 'last', 'count'] as const)
      level[key].set(part[key], block);
    block += part.count.length;
  }
  return level;
}

/** Stacks coarser levels on a level until one has at most `factor` blocks. Together they are 1/(factor − 1) of the first. */
export function buildPyramid(finest: PyramidLevel, factor: number = DEFAULT_FACTOR): Pyramid {
  if (!Number.isInteger(factor) || factor < 2)
    throw new RangeError(`buildPyramid: factor must be 2 or more, got ${factor}`);
  const levels = [finest];
  for (let top = finest; top.count.length > factor; levels.push(top)) top = condenseLevel(top, factor);
  return { sampleCount: finest.sampleCount, levels };
}

function condenseLevel(finer: PyramidLevel, factor: number): PyramidLevel {
  const level = emptyLevel(finer.samplesPerBlock * factor, finer.sampleCount);
  const { tMin, tMax, min, max, first, last, count } = finer;
  for (let i = 0; i < count.length; i++) {
    addToBlock(level, Math.floor(i / factor), tMin[i], tMax[i], min[i], max[i], first[i], last[i], count[i]);
  }
  return level;
}

function emptyLevel(samplesPerBlock: number, sampleCount: number): PyramidLevel {
  const blockCount = Math.ceil(sampleCount / samplesPerBlock);
  const column = () => new Float64Array(blockCount).fill(NaN);
  return {
    samplesPerBlock,
    sampleCount,
    tMin: column(),
    tMax: column(),
    min: column(),
    max: column(),
    first: column(),
    last: column(),
    count: new Uint32Array(blockCount),
  };
}

/** Widens a block by a later run of samples. The comparisons are so that NaN, “nothing yet”, gives way to a number. */
function addToBlock(
  level: PyramidLevel,
  block: number,
  tMin: number,
  tMax: number,
  min: number,
  max: number,
  first: number,
  last: number,
  count: number,
): void {
  if (!(tMin >= level.tMin[block])) level.tMin[block] = tMin;
  if (!(tMax <= level.tMax[block])) level.tMax[block] = tMax;
  if (count === 0) return;
  if (level.count[block] === 0) level.first[block] = first;
  if (!(min >= level.min[block])) level.min[block] = min;
  if (!(max <= level.max[block])) level.max[block] = max;
  level.last[block] = last;
  level.count[block] = level.count[block] + count;
}

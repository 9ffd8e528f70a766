import { type Envelope, EnvelopeBuilder, type EnvelopeWindow } from './envelope.js';
import type { Pyramid } from './pyramid.js';

/** Hands out the samples from startIndex up to endIndex (exclusive), from memory or from a file. */
export type SampleSource = (
  startIndex: number,
  endIndex: number,
) => { readonly timeS: Float64Array; readonly values: Float64Array };

/**
 * The same envelope as from all samples, for any order of times, but touching few of them: a block whose times all fall
 * into one bucket is taken as a whole, one outside the window is passed over, only others are looked into. With rising
 * time that is about 2 × factor entries per level and bucket.
 */
export function pyramidEnvelope(pyramid: Pyramid, readSamples: SampleSource, window: EnvelopeWindow): Envelope {
  const builder = new EnvelopeBuilder(window);
  const top = pyramid.levels.length - 1;
  const blockCount = pyramid.levels[top]?.count.length ?? 0;
  for (let block = 0; block < blockCount; block++) visit(pyramid, top, block, readSamples, window, builder);
  return builder.result;
}

function visit(
  pyramid: Pyramid,
  levelIndex: number,
  block: number,
  readSamples: SampleSource,
  window: EnvelopeWindow,
  builder: EnvelopeBuilder,
): void {
  const level = pyramid.levels[levelIndex];
  const tMin = level.tMin[block];
  const tMax = level.tMax[block];
  const count = level.count[block];
  if (count === 0 || tMax < window.startS || tMin >= window.endS) return;
  const bucket = builder.bucketOf(tMin);
  if (bucket >= 0 && bucket === builder.bucketOf(tMax)) {
    const [min, max] = [level.min[block], level.max[block]];
    builder.addRun(bucket, min, max, level.first[block], level.last[block], count);
    return;
  }
  const startIndex = block * level.samplesPerBlock;
  const endIndex = Math.min(startIndex + level.samplesPerBlock, pyramid.sampleCount);
  if (levelIndex === 0) {
    const { timeS, values } = readSamples(startIndex, endIndex);
    for (let i = 0; i < timeS.length; i++) builder.addSample(timeS[i], values[i]);
    return;
  }
  const finer = pyramid.levels[levelIndex - 1]?.samplesPerBlock ?? 1;
  const endBlock = Math.ceil(endIndex / finer);
  for (let child = startIndex / finer; child < endBlock; child++) {
    visit(pyramid, levelIndex - 1, child, readSamples, window, builder);
  }
}

import { brotliCompressSync, brotliDecompressSync, constants } from 'node:zlib';

/** Values of one chunk; the unit of compression, of reading and of memory. */
export const CHUNK_SIZE = 8192;

/** Decimal places tried for values that were written as decimal numbers. */
const MAX_DECIMALS = 9;
/** A whole number up to here divides by a power of ten to exactly the double that the decimal text stands for. */
const MAX_EXACT = Number.MAX_SAFE_INTEGER;
const HEADER_BYTES = 16;

const KIND = { missing: 0, decimal: 1, float: 2 } as const;

/** Room for a packed chunk; one that needs more gets more. The usual 16 KiB would wait for the collector, mostly empty. */
const PACKED_BYTES = 4096;
/** Decimal planes of a chunk are shorter than this power of two: a larger window packs no better and takes more to set up. */
const WINDOW_BITS = 16;

/** Where a chunk is taken apart before it is packed, one after the other: new arrays for each would keep the collector busy. */
const scratch = {
  steps: new Uint32Array(CHUNK_SIZE),
  body: new Uint8Array(CHUNK_SIZE / 8 + 8 * CHUNK_SIZE),
};

/**
 * Packs a column of at most `CHUNK_SIZE` values without loss (NaN stays missing, whatever its bits). Where every value
 * is a decimal number of few places, whole numbers are kept as differences, folded to be positive and cut into planes
 * of equal bytes, which compress far better than doubles; else the doubles themselves in byte planes.
 */
export function encodeColumn(values: Float64Array): Buffer {
  const count = values.length;
  const stepsOfAll = foldedSteps(values);
  const present = stepsOfAll ? values : withoutMissing(values);
  const hasGaps = present.length < count;
  const noValue = { kind: KIND.missing, decimals: 0, planes: 0, hasGaps, count, base: 0 };
  if (present.length === 0) return header(noValue);
  const maskBytes = hasGaps ? Math.ceil(count / 8) : 0;
  const steps = hasGaps ? foldedSteps(present) : stepsOfAll;
  const planes = steps ? steps.planes : 8;
  const body = scratch.body.subarray(0, maskBytes + planes * present.length);
  if (hasGaps) markPresent(values, body.subarray(0, maskBytes).fill(0));
  if (steps) splitSteps(steps.values, planes, body.subarray(maskBytes));
  else splitPlanes(bytesOf(present), 8, body.subarray(maskBytes));
  const head = steps
    ? { ...noValue, kind: KIND.decimal, decimals: steps.decimals, planes, base: scaled(present[0], steps.decimals) }
    : { ...noValue, kind: KIND.float, planes };
  const packed = brotliCompressSync(body, {
    chunkSize: PACKED_BYTES,
    params: {
      [constants.BROTLI_PARAM_QUALITY]: 1,
      [constants.BROTLI_PARAM_LGWIN]: WINDOW_BITS,
      [constants.BROTLI_PARAM_SIZE_HINT]: body.length,
    },
  });
  return Buffer.concat([header(head), packed]);
}

/**
 * The very values that `encodeColumn` was given. Throws when the bytes do not unpack to what their head promises. A chunk
 * takes less time than its way to another thread and back.
 */
export function decodeColumn(bytes: Buffer): Float64Array {
  const { kind, decimals, planes, hasGaps, count, base } = parseHeader(bytes);
  const values = new Float64Array(count).fill(Number.NaN);
  if (kind === KIND.missing) return values;
  const maskBytes = hasGaps ? Math.ceil(count / 8) : 0;
  const unpacked = brotliDecompressSync(bytes.subarray(HEADER_BYTES), { maxOutputLength: maskBytes + 8 * count });
  const body = unpacked.subarray(maskBytes);
  const presentCount = body.length / planes;
  const present =
    kind === KIND.decimal
      ? fromSteps(new Uint32Array(joinPlanes(body, 4, planes).buffer), { base, decimals })
      : new Float64Array(joinPlanes(body, 8, planes).buffer);
  if (!hasGaps && presentCount === count) return present;
  if (!hasGaps) throw new Error(`expected ${count} values, found ${presentCount}`);
  let at = 0;
  for (let i = 0; i < count; i++) {
    if (unpacked[i >> 3] & (1 << (i & 7))) values[i] = present[at++];
  }
  if (at !== presentCount) throw new Error(`expected ${at} values, found ${presentCount}`);
  return values;
}

interface Header {
  readonly kind: number;
  readonly decimals: number;
  /** Bytes of each value that are kept. */
  readonly planes: number;
  readonly hasGaps: boolean;
  readonly count: number;
  /** The first value as a whole number. */
  readonly base: number;
}

function header({ kind, decimals, planes, hasGaps, count, base }: Header): Buffer {
  const bytes = Buffer.alloc(HEADER_BYTES);
  bytes.set([kind, decimals, planes, Number(hasGaps)]);
  bytes.writeUInt32LE(count, 4);
  bytes.writeDoubleLE(base, 8);
  return bytes;
}

function parseHeader(bytes: Buffer): Header {
  const count = bytes.readUInt32LE(4);
  if (count > CHUNK_SIZE) throw new Error(`expected at most ${CHUNK_SIZE} values, found ${count}`);
  return {
    kind: bytes[0],
    decimals: bytes[1],
    planes: bytes[2],
    hasGaps: bytes[3] === 1,
    count,
    base: bytes.readDoubleLE(8),
  };
}

/** The values themselves when none is missing, else a copy without the missing ones. */
function withoutMissing(values: Float64Array): Float64Array {
  let missing = 0;
  for (let i = 0; i < values.length; i++) if (Number.isNaN(values[i])) missing++;
  if (missing === 0) return values;
  const present = new Float64Array(values.length - missing);
  let count = 0;
  for (let i = 0; i < values.length; i++) if (!Number.isNaN(values[i])) present[count++] = values[i];
  return present;
}

/** Sets the bit of each value that is there. */
function markPresent(values: Float64Array, mask: Uint8Array): void {
  for (let i = 0; i < values.length; i++) {
    if (!Number.isNaN(values[i])) mask[i >> 3] |= 1 << (i & 7);
  }
}

function scaled(value: number, decimals: number): number {
  return Math.round(value * 10 ** decimals);
}

/** Differences of whole numbers, folded so that small ones of either sign are small. */
interface FoldedSteps {
  readonly values: Uint32Array;
  /** Decimal places that make the whole numbers. */
  readonly decimals: number;
  /** Bytes that the largest needs. */
  readonly planes: number;
}

/**
 * Steps of the whole numbers of the fewest decimal places that give back every value bit for bit; null when there are
 * none (−0 and NaN have none) or a step is too large.
 */
function foldedSteps(values: Float64Array): FoldedSteps | null {
  if (Number.isNaN(values[0])) return null;
  const steps = scratch.steps.subarray(0, values.length);
  for (let decimals = 0; decimals <= MAX_DECIMALS; decimals++) {
    const seen = foldSteps(values, 10 ** decimals, steps);
    if (seen === TOO_LARGE) return null;
    if (seen !== INEXACT) return { values: steps, decimals, planes: Math.ceil((32 - Math.clz32(seen)) / 8) || 1 };
  }
  return null;
}

const INEXACT = -1;
const TOO_LARGE = -2;

/** Fills in the steps of the values times a power of ten; answers all bits that are set in any, or why there are none. */
function foldSteps(values: Float64Array, power: number, steps: Uint32Array): number {
  let bits = 0;
  let isTooLarge = false;
  let before = Math.round(values[0] * power);
  let last = Number.NaN;
  for (let i = 0; i < values.length; i++) {
    const value = values[i];
    if (Object.is(value, last)) {
      steps[i] = 0;
      continue;
    }
    last = value;
    const whole = Math.round(value * power);
    if (whole / power !== value || Math.abs(whole) > MAX_EXACT || (whole === 0 && Object.is(value, -0))) return INEXACT;
    const step = whole - before;
    isTooLarge ||= step < -0x8000_0000 || step > 0x7fff_ffff;
    const folded = (step << 1) ^ (step >> 31);
    steps[i] = folded;
    bits |= folded;
    before = whole;
  }
  return isTooLarge ? TOO_LARGE : bits >>> 0;
}

function fromSteps(steps: Uint32Array, { base, decimals }: { base: number; decimals: number }): Float64Array {
  const values = new Float64Array(steps.length);
  const power = 10 ** decimals;
  let whole = base;
  for (let i = 0; i < steps.length; i++) {
    const step = steps[i];
    whole += (step >>> 1) ^ -(step & 1);
    values[i] = whole / power;
  }
  return values;
}

function bytesOf(values: Float64Array): Uint8Array {
  return new Uint8Array(values.buffer, values.byteOffset, values.byteLength);
}

/** All first bytes, then all second bytes, up to `planes` bytes of each step (the lowest first). */
function splitSteps(steps: Uint32Array, planes: number, split: Uint8Array): void {
  for (let plane = 0; plane < planes; plane++) {
    const start = plane * steps.length;
    const shift = 8 * plane;
    for (let i = 0; i < steps.length; i++) split[start + i] = steps[i] >>> shift;
  }
}

/** The same of values of `width` bytes, all of them (little-endian). */
function splitPlanes(bytes: Uint8Array, width: number, split: Uint8Array): void {
  const count = bytes.length / width;
  for (let plane = 0; plane < width; plane++) {
    const start = plane * count;
    for (let i = 0; i < count; i++) split[start + i] = bytes[i * width + plane];
  }
}

function joinPlanes(split: Uint8Array, width: number, planes: number): Uint8Array {
  const count = split.length / planes;
  if (planes < 1 || planes > width || !Number.isInteger(count)) throw new Error('the planes are uneven');
  const bytes = new Uint8Array(count * width);
  for (let plane = 0; plane < planes; plane++) {
    const start = plane * count;
    for (let i = 0; i < count; i++) bytes[i * width + plane] = split[start + i];
  }
  return bytes;
}

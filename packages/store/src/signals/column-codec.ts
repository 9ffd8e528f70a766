import { promisify } from 'node:util';
import { brotliCompressSync, brotliDecompress, constants } from 'node:zlib';

/** Values of one chunk; the unit of compression, of reading and of memory. */
export const CHUNK_SIZE = 8192;

/** Decimal places tried for values that were written as decimal numbers. */
const MAX_DECIMALS = 9;
/** A whole number up to here divides by a power of ten to exactly the double that the decimal text stands for. */
const MAX_EXACT = Number.MAX_SAFE_INTEGER;
const HEADER_BYTES = 16;

const KIND = { missing: 0, decimal: 1, float: 2 } as const;

const decompress = promisify(brotliDecompress);

/**
 * Packs a column of at most `CHUNK_SIZE` values without loss (NaN stays missing, whatever its bits). Where every value
 * is a decimal number of few places, whole numbers are kept as differences, folded to be positive and cut into planes
 * of equal bytes, which compress far better than doubles; else the doubles themselves in byte planes.
 */
export function encodeColumn(values: Float64Array): Buffer {
  const count = values.length;
  const present = withoutMissing(values);
  const hasGaps = present.length < count;
  if (present.length === 0) return header({ kind: KIND.missing, decimals: 0, planes: 0, hasGaps, count, base: 0 });
  const mask = hasGaps ? presenceMask(values) : new Uint8Array(0);
  const decimals = findDecimals(present);
  const steps = decimals === null ? null : foldedSteps(present, decimals);
  const planes = steps ? planesOf(steps) : 8;
  const body = steps ? splitPlanes(new Uint8Array(steps.buffer), 4, planes) : splitPlanes(bytesOf(present), 8, 8);
  const head =
    steps && decimals !== null
      ? header({ kind: KIND.decimal, decimals, planes, hasGaps, count, base: scaled(present[0], decimals) })
      : header({ kind: KIND.float, decimals: 0, planes, hasGaps, count, base: 0 });
  const packed = brotliCompressSync(Buffer.concat([mask, body]), {
    params: { [constants.BROTLI_PARAM_QUALITY]: 1, [constants.BROTLI_PARAM_SIZE_HINT]: mask.length + body.length },
  });
  return Buffer.concat([head, packed]);
}

/** The very values that `encodeColumn` was given. Throws when the bytes do not unpack to what their head promises. */
export async function decodeColumn(bytes: Buffer): Promise<Float64Array> {
  const { kind, decimals, planes, hasGaps, count, base } = parseHeader(bytes);
  const values = new Float64Array(count).fill(Number.NaN);
  if (kind === KIND.missing) return values;
  const maskBytes = hasGaps ? Math.ceil(count / 8) : 0;
  const unpacked = await decompress(bytes.subarray(HEADER_BYTES), { maxOutputLength: maskBytes + 8 * count });
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

/** A copy without the missing values. */
function withoutMissing(values: Float64Array): Float64Array {
  const present = new Float64Array(values.length);
  let count = 0;
  for (let i = 0; i < values.length; i++) if (!Number.isNaN(values[i])) present[count++] = values[i];
  return present.slice(0, count);
}

function presenceMask(values: Float64Array): Uint8Array {
  const mask = new Uint8Array(Math.ceil(values.length / 8));
  for (let i = 0; i < values.length; i++) {
    if (!Number.isNaN(values[i])) mask[i >> 3] |= 1 << (i & 7);
  }
  return mask;
}

function scaled(value: number, decimals: number): number {
  return Math.round(value * 10 ** decimals);
}

/** The fewest decimal places that give back every value bit for bit; null when there are none (−0 has none). */
function findDecimals(values: Float64Array): number | null {
  for (let decimals = 0, from = 0; decimals <= MAX_DECIMALS; decimals++) {
    const power = 10 ** decimals;
    // Places that were enough for the values before are enough for them with more places, so go on from there.
    while (from < values.length && isExact(values[from], power)) from += 1;
    if (from === values.length) return isExactThroughout(values, power) ? decimals : null;
  }
  return null;
}

function isExactThroughout(values: Float64Array, power: number): boolean {
  for (let i = 0; i < values.length; i++) if (!isExact(values[i], power)) return false;
  return true;
}

function isExact(value: number, power: number): boolean {
  const whole = Math.round(value * power);
  return whole / power === value && Math.abs(whole) <= MAX_EXACT && !Object.is(value, -0);
}

/** Differences of the whole numbers, folded so that small ones of either sign are small; null when one is too large. */
function foldedSteps(values: Float64Array, decimals: number): Uint32Array | null {
  const steps = new Uint32Array(values.length);
  let before = scaled(values[0], decimals);
  for (let i = 1; i < values.length; i++) {
    const whole = scaled(values[i], decimals);
    const step = whole - before;
    if (step < -0x8000_0000 || step > 0x7fff_ffff) return null;
    steps[i] = (step << 1) ^ (step >> 31);
    before = whole;
  }
  return steps;
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

function planesOf(steps: Uint32Array): number {
  let all = 0;
  for (let i = 0; i < steps.length; i++) all |= steps[i];
  return Math.ceil((32 - Math.clz32(all)) / 8) || 1;
}

function bytesOf(values: Float64Array): Uint8Array {
  return new Uint8Array(values.buffer, values.byteOffset, values.byteLength);
}

/** All first bytes, then all second bytes, up to `planes` of the `width` bytes of each value (little-endian). */
function splitPlanes(bytes: Uint8Array, width: number, planes: number): Uint8Array {
  const count = bytes.length / width;
  const split = new Uint8Array(count * planes);
  for (let plane = 0; plane < planes; plane++) {
    const start = plane * count;
    for (let i = 0; i < count; i++) split[start + i] = bytes[i * width + plane];
  }
  return split;
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

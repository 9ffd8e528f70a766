import { withoutSpeedBand } from './cell-key.js';
import { combineCounts, countByKey, type KeyedCounts } from './keyed-counts.js';

/**
 * What is counted in a cell: its shifts, those with each grade, and those in which the log could tell. Part of the
 * data on disk: never reorder.
 */
export const SLICE_COUNTS = [
  'shifts',
  'flare',
  'tieUp',
  'harsh',
  'slow',
  'incomplete',
  'clean',
  'flareMeasured',
  'tieUpMeasured',
  'harshMeasured',
  'slowMeasured',
] as const;
export type SliceCount = (typeof SLICE_COUNTS)[number];

/** Counts per cell. */
export const WIDTH = SLICE_COUNTS.length;

/** Place of a count within a cell. */
export function columnOf(count: SliceCount): number {
  return SLICE_COUNTS.indexOf(count);
}

/**
 * Outcomes of one vehicle under one revision by cell of the operating space: for each `cellKey` the counts in the order
 * of `SLICE_COUNTS`. No cell is without shifts. A query touches only the columns that it needs.
 */
export type OutcomeSlice = KeyedCounts<Uint32Array>;

export const EMPTY_SLICE: OutcomeSlice = { keys: new Uint32Array(0), counts: new Uint32Array(0) };

/** One cell of a slice that is being made. Cells may repeat and come in any order. */
export interface CountedCell {
  readonly key: number;
  readonly counts: Readonly<Record<SliceCount, number>>;
}

/** A slice of counted cells. O(n log n). */
export function sliceOf(cells: readonly CountedCell[]): OutcomeSlice {
  const entries = cells.map(({ key, counts }) => [key, SLICE_COUNTS.map((name) => counts[name])] as const);
  return countByKey(entries, WIDTH, EMPTY_SLICE.counts);
}

/** Both together. O(cells). */
export function addSlices(a: OutcomeSlice, b: OutcomeSlice): OutcomeSlice {
  return combineCounts(a, b, 1, SLICE_COUNTS);
}

/** Takes `part` out of `whole`. Throws RangeError when it was not in it: the summaries would be wrong. */
export function subtractSlice(whole: OutcomeSlice, part: OutcomeSlice): OutcomeSlice {
  return combineCounts(whole, part, -1, SLICE_COUNTS);
}

/** Sum of each count over all cells, in the order of `SLICE_COUNTS`. */
export function sliceTotals({ keys, counts }: OutcomeSlice): Float64Array {
  const totals = new Float64Array(WIDTH);
  for (let at = 0; at < counts.length; at++) totals[Math.floor(at / keys.length)] += counts[at];
  return totals;
}

/** A slice as bytes: keys, then counts, little-endian. */
export function encodeSlice({ keys, counts }: OutcomeSlice): Uint8Array {
  const bytes = new Uint8Array(4 * (keys.length + counts.length));
  const view = new DataView(bytes.buffer);
  keys.forEach((key, i) => view.setUint32(4 * i, key, true));
  counts.forEach((count, i) => view.setUint32(4 * (keys.length + i), count, true));
  return bytes;
}

/** The slice that `encodeSlice` wrote. Throws RangeError for bytes of another length. */
export function decodeSlice(bytes: Uint8Array): OutcomeSlice {
  const cells = bytes.length / (4 * (1 + WIDTH));
  if (!Number.isInteger(cells)) throw new RangeError(`${bytes.length} bytes are no summary slice.`);
  // Copied at once where the machine's byte order allows: a thousand slices are read for one page.
  const all = isLittleEndian() ? new Uint32Array(bytes.slice().buffer) : swapped(bytes);
  return { keys: all.subarray(0, cells), counts: all.subarray(cells) };
}

function isLittleEndian(): boolean {
  return new Uint8Array(Uint32Array.of(1).buffer)[0] === 1;
}

function swapped(bytes: Uint8Array): Uint32Array {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.length);
  return Uint32Array.from({ length: bytes.length / 4 }, (_, i) => view.getUint32(4 * i, true));
}

/** The slice with its speed bands added together (their part of the key becomes 0): a quarter of the cells. O(cells). */
export function withoutSpeed({ keys, counts }: OutcomeSlice): OutcomeSlice {
  const strata = keys.map((key) => withoutSpeedBand(key));
  // Keys are sorted with the speed band lowest, so that cells of one stratum are neighbours.
  const firsts = strata.filter((key, i) => i === 0 || key !== strata[i - 1]);
  const sums = new Uint32Array(firsts.length * WIDTH);
  for (let c = 0; c < WIDTH; c++) {
    let n = -1;
    for (let i = 0; i < keys.length; i++) {
      if (i === 0 || strata[i] !== strata[i - 1]) n++;
      sums[c * firsts.length + n] += counts[c * keys.length + i];
    }
  }
  return { keys: firsts, counts: sums };
}

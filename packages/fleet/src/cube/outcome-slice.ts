import { kindAndProgram, withoutSpeedBand } from './cell-key.js';
import { combineCounts, KeyedCounter, type KeyedCounts, sameCounts } from './keyed-counts.js';
import { bytesOf, wordsOf } from './little-endian.js';

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

/** One cell of a slice that is being made, with its counts in the order of `SLICE_COUNTS`. Cells may repeat. */
export interface CountedCell {
  readonly key: number;
  readonly counts: ArrayLike<number>;
}

/** A slice of counted cells, in any order. O(n log n). */
export function sliceOf(cells: Iterable<CountedCell>): OutcomeSlice {
  const counter = new OutcomeCounter();
  for (const { key, counts } of cells) counter.add(key, counts);
  return counter.counted();
}

/** Adds up outcomes shift by shift. */
export class OutcomeCounter {
  private readonly cells = new KeyedCounter(WIDTH);

  /** See `CountedCell`. */
  add(key: number, counts: ArrayLike<number>): void {
    this.cells.add(key, counts);
  }

  counted(): OutcomeSlice {
    return this.cells.counted(EMPTY_SLICE.counts);
  }
}

/** Both together. O(cells). */
export function addSlices(a: OutcomeSlice, b: OutcomeSlice): OutcomeSlice {
  return combineCounts(a, b, 1, SLICE_COUNTS);
}

/** Takes `part` out of `whole`. Throws RangeError when it was not in it: the summaries would be wrong. */
export function subtractSlice(whole: OutcomeSlice, part: OutcomeSlice): OutcomeSlice {
  return combineCounts(whole, part, -1, SLICE_COUNTS);
}

export function sameSlice(a: OutcomeSlice, b: OutcomeSlice): boolean {
  return sameCounts(a, b);
}

/** Sum of each count over all cells, in the order of `SLICE_COUNTS`. */
export function sliceTotals({ keys, counts }: OutcomeSlice): Float64Array {
  const totals = new Float64Array(WIDTH);
  for (let at = 0; at < counts.length; at++) totals[Math.floor(at / keys.length)] += counts[at];
  return totals;
}

/** A slice as bytes: keys, then counts, little-endian. */
export function encodeSlice({ keys, counts }: OutcomeSlice): Uint8Array {
  return bytesOf(keys, counts);
}

/** The slice that `encodeSlice` wrote. Throws RangeError for bytes of another length. */
export function decodeSlice(bytes: Uint8Array): OutcomeSlice {
  const cells = bytes.length / (4 * (1 + WIDTH));
  if (!Number.isInteger(cells)) throw new RangeError(`${bytes.length} bytes are no summary slice.`);
  const all = wordsOf(bytes);
  return { keys: all.subarray(0, cells), counts: all.subarray(cells) };
}

/** The slice with its speed bands added together (their part of the key becomes 0). O(cells). */
export function withoutSpeed(slice: OutcomeSlice): OutcomeSlice {
  return mergeCells(slice, withoutSpeedBand);
}

/** The slice with all its bands added together: by shift kind and program (the other parts of the key become 0). O(cells). */
export function withoutBands(slice: OutcomeSlice): OutcomeSlice {
  return mergeCells(slice, kindAndProgram);
}

/** Adds cells together that have one key by `keyOf`, which leaves out parts of it. */
function mergeCells({ keys, counts }: OutcomeSlice, keyOf: (key: number) => number): OutcomeSlice {
  const merged = new Uint32Array(keys.length);
  const distinct = new Set<number>();
  // Neighbours mostly go to one place, and are looked up once.
  const isNew = (i: number) => i === 0 || merged[i] !== merged[i - 1];
  for (let i = 0; i < keys.length; i++) {
    merged[i] = keyOf(keys[i]);
    if (isNew(i)) distinct.add(merged[i]);
  }
  const strata = Uint32Array.from(distinct).sort();
  const placeOf = new Map<number, number>();
  for (let place = 0; place < strata.length; place++) placeOf.set(strata[place], place);
  const places = new Uint32Array(keys.length);
  for (let i = 0; i < keys.length; i++) places[i] = isNew(i) ? (placeOf.get(merged[i]) ?? 0) : places[i - 1];
  const sums = new Uint32Array(strata.length * WIDTH);
  for (let c = 0; c < WIDTH; c++) {
    for (let i = 0; i < keys.length; i++) sums[c * strata.length + places[i]] += counts[c * keys.length + i];
  }
  return { keys: strata, counts: sums };
}

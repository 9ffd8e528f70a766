import { NO_SHIFTS } from '../summaries/grade-counts.js';
import {
  type CountedObservation,
  momentsOfRounded,
  ROW_STEP,
  roundObservation,
  type ShiftMoments,
  type ShiftObservation,
  WEIGHT_STEP,
} from './shift-moments.js';

/**
 * The weighted shifts of one vehicle under one revision, in columns, rounded as moments round them: what its moments are
 * the sums of. Kept beside them so that a robust solve need not read shifts again.
 */
export interface ShiftRows {
  readonly kinds: readonly string[];
  /** Per shift: its place in `kinds`, response, weight, and the first entry after its own. */
  readonly kind: Int32Array;
  readonly responses: Float64Array;
  readonly weights: Float64Array;
  readonly ends: Int32Array;
  /** Entries of all shifts, one after the other: node, share, and share times gain. */
  readonly nodes: Int32Array;
  readonly shares: Float64Array;
  readonly x: Float64Array;
}

/** Columns of observations; those without weight are left out. */
export function shiftRowsOf(observations: Iterable<ShiftObservation>): ShiftRows {
  const rows = Array.from(observations, roundObservation).filter(({ weight }) => weight > 0);
  const kinds = [...new Set(rows.map(({ shiftKind }) => shiftKind))].sort();
  const places = new Map(kinds.map((kind, place) => [kind, place]));
  let end = 0;
  return {
    kinds,
    kind: Int32Array.from(rows, ({ shiftKind }) => places.get(shiftKind) ?? 0),
    // −0 would not come back from whole steps.
    responses: Float64Array.from(rows, ({ y }) => y + 0),
    weights: Float64Array.from(rows, ({ weight }) => weight),
    ends: Int32Array.from(rows, ({ x }) => (end += x.length)),
    nodes: Int32Array.from(rows.flatMap(({ row }) => row.nodes)),
    shares: Float64Array.from(rows.flatMap(({ row }) => row.shares)),
    x: Float64Array.from(rows.flatMap(({ x }) => x)),
  };
}

/** One shift of the columns again, with no grade and another weight. */
export function observationAt(rows: ShiftRows, shift: number, weight: number): CountedObservation {
  const [start, end] = [shift === 0 ? 0 : rows.ends[shift - 1], rows.ends[shift]];
  const x = [...rows.x.subarray(start, end)];
  return {
    shiftKind: rows.kinds[rows.kind[shift]],
    row: { nodes: [...rows.nodes.subarray(start, end)], shares: [...rows.shares.subarray(start, end)], gain: 1 },
    x,
    y: rows.responses[shift],
    weight,
    counts: NO_SHIFTS,
  };
}

/**
 * Rows of shifts under an older revision as if against a newer one; see `rebaseShiftMoments`.
 * @param changeLn Δ by node
 */
export function rebaseShiftRows(rows: ShiftRows, changeLn: ArrayLike<number>): ShiftRows {
  const responses = rows.responses.slice();
  for (let shift = 0, entry = 0; shift < responses.length; shift += 1) {
    for (; entry < rows.ends[shift]; entry += 1) responses[shift] -= rows.x[entry] * changeLn[rows.nodes[entry]];
  }
  return { ...rows, responses };
}

/** ln of torque by which the commands of two revisions may differ at a shift and still be the same: a fraction of its noise. */
const SAME_LN = 0.02;

/**
 * Those shifts under an older revision at which a newer one commands the same, as if driven under the newer. They tell as
 * much of it as its own, whatever the response to a change is. Grades are left out, as in `rebaseShiftMoments`.
 * @param changeLn Δ by node
 */
export function sameCommandRows(rows: ShiftRows, changeLn: ArrayLike<number>): ShiftRows {
  const carried = rebaseShiftRows(rows, changeLn);
  const kept = Array.from(rows.kind.keys()).filter(
    (shift) => Math.abs(rows.responses[shift] - carried.responses[shift]) <= SAME_LN,
  );
  const entries = kept.flatMap((shift) => {
    const start = shift === 0 ? 0 : rows.ends[shift - 1];
    return Array.from({ length: rows.ends[shift] - start }, (_, i) => start + i);
  });
  let end = 0;
  return {
    kinds: rows.kinds,
    kind: Int32Array.from(kept, (shift) => rows.kind[shift]),
    responses: Float64Array.from(kept, (shift) => carried.responses[shift]),
    weights: Float64Array.from(kept, (shift) => rows.weights[shift]),
    ends: Int32Array.from(kept, (shift) => (end += rows.ends[shift] - (shift === 0 ? 0 : rows.ends[shift - 1]))),
    nodes: Int32Array.from(entries, (entry) => rows.nodes[entry]),
    shares: Float64Array.from(entries, (entry) => rows.shares[entry]),
    x: Float64Array.from(entries, (entry) => rows.x[entry]),
  };
}

/** Moments of the shifts, without their grades. */
export function momentsOfRows(rows: ShiftRows): ShiftMoments {
  return momentsOfRounded(Array.from(rows.kind.keys(), (shift) => observationAt(rows, shift, rows.weights[shift])));
}

/** First word of every encoding; another one is refused. */
const VERSION = 1;
const HEAD_WORDS = 4;

/** Whole steps of four bytes, little-endian: about 110 bytes for a shift with eight nodes; compresses to a third. */
export function encodeShiftRows(rows: ShiftRows): Uint8Array {
  const names = new TextEncoder().encode(JSON.stringify(rows.kinds));
  const columns = [
    rows.kind,
    Int32Array.from(rows.responses, (y) => Math.round(y / ROW_STEP)),
    Int32Array.from(rows.weights, (weight) => Math.round(weight / WEIGHT_STEP)),
    rows.ends,
    rows.nodes,
    Int32Array.from(rows.shares, (share) => Math.round(share / ROW_STEP)),
    Int32Array.from(rows.x, (x) => Math.round(x / ROW_STEP)),
  ];
  const words = columns.reduce((sum, { length }) => sum + length, HEAD_WORDS);
  const numbers = new Int32Array(words);
  numbers.set([VERSION, rows.kind.length, rows.nodes.length, names.length]);
  let offset = HEAD_WORDS;
  for (const column of columns) {
    numbers.set(column, offset);
    offset += column.length;
  }
  const bytes = new Uint8Array(4 * words + names.length);
  bytes.set(new Uint8Array(numbers.buffer));
  bytes.set(names, 4 * words);
  return bytes;
}

/** Reads what `encodeShiftRows` wrote. Throws a RangeError on another version or on bytes cut short. */
export function decodeShiftRows(bytes: Uint8Array): ShiftRows {
  const wholeWords = 4 * Math.floor(bytes.length / 4);
  const numbers = new Int32Array(bytes.slice(0, wholeWords).buffer);
  const [version, shifts, entries, nameLength] = numbers;
  if (version !== VERSION) throw new RangeError(`Rows of version ${version} found, version ${VERSION} expected.`);
  const words = HEAD_WORDS + 4 * shifts + 3 * entries;
  if (bytes.length !== 4 * words + nameLength) throw new RangeError('Rows are cut short.');
  let offset = HEAD_WORDS;
  const read = (length: number) => numbers.subarray(offset, (offset += length));
  const scaled = (column: Int32Array, step: number) => Float64Array.from(column, (value) => value * step);
  return {
    kinds: JSON.parse(new TextDecoder().decode(bytes.subarray(4 * words))) as string[],
    kind: read(shifts),
    responses: scaled(read(shifts), ROW_STEP),
    weights: scaled(read(shifts), WEIGHT_STEP),
    ends: read(shifts),
    nodes: read(entries),
    shares: scaled(read(entries), ROW_STEP),
    x: scaled(read(entries), ROW_STEP),
  };
}

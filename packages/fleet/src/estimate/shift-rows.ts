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
  /** Entries of all shifts, one after the other: node, and share and share times gain in whole `ROW_STEP`s. */
  readonly nodes: Int32Array;
  readonly shares: Int32Array;
  readonly x: Int32Array;
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
    shares: Int32Array.from(rows.flatMap(({ row }) => row.shares.map(stepsOf))),
    x: Int32Array.from(rows.flatMap(({ x }) => x.map(stepsOf))),
  };
}

function stepsOf(value: number): number {
  return Math.round(value / ROW_STEP);
}

/** The first entry of a shift. */
export function startOf({ ends }: ShiftRows, shift: number): number {
  return shift === 0 ? 0 : ends[shift - 1];
}

/** One shift of the columns again, with no grade and another weight. */
export function observationAt(rows: ShiftRows, shift: number, weight: number): CountedObservation {
  const [start, end] = [startOf(rows, shift), rows.ends[shift]];
  const inSteps = (column: Int32Array) => Array.from(column.subarray(start, end), (steps) => steps * ROW_STEP);
  return {
    shiftKind: rows.kinds[rows.kind[shift]],
    row: { nodes: [...rows.nodes.subarray(start, end)], shares: inSteps(rows.shares), gain: 1 },
    x: inSteps(rows.x),
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
    for (; entry < rows.ends[shift]; entry += 1)
      responses[shift] -= rows.x[entry] * ROW_STEP * changeLn[rows.nodes[entry]];
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
    const start = startOf(rows, shift);
    return Array.from({ length: rows.ends[shift] - start }, (_, i) => start + i);
  });
  let end = 0;
  return {
    kinds: rows.kinds,
    kind: Int32Array.from(kept, (shift) => rows.kind[shift]),
    responses: Float64Array.from(kept, (shift) => carried.responses[shift]),
    weights: Float64Array.from(kept, (shift) => rows.weights[shift]),
    ends: Int32Array.from(kept, (shift) => (end += rows.ends[shift] - startOf(rows, shift))),
    nodes: Int32Array.from(entries, (entry) => rows.nodes[entry]),
    shares: Int32Array.from(entries, (entry) => rows.shares[entry]),
    x: Int32Array.from(entries, (entry) => rows.x[entry]),
  };
}

/** A loop: `Float64Array.from` with a mapping takes fifty times as long. */
function scaled(column: Int32Array, step: number): Float64Array {
  const values = new Float64Array(column.length);
  for (let i = 0; i < column.length; i += 1) values[i] = column[i] * step;
  return values;
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
    Int32Array.from(rows.responses, stepsOf),
    Int32Array.from(rows.weights, (weight) => Math.round(weight / WEIGHT_STEP)),
    rows.ends,
    rows.nodes,
    rows.shares,
    rows.x,
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

/**
 * Reads what `encodeShiftRows` wrote, where it stands: the bytes must not change while the rows are used. Throws a
 * RangeError on another version or on bytes cut short.
 */
export function decodeShiftRows(bytes: Uint8Array): ShiftRows {
  const wholeWords = 4 * Math.floor(bytes.length / 4);
  const isAligned = bytes.byteOffset % 4 === 0;
  const numbers = isAligned
    ? new Int32Array(bytes.buffer, bytes.byteOffset, wholeWords / 4)
    : new Int32Array(bytes.slice(0, wholeWords).buffer);
  const [version, shifts, entries, nameLength] = numbers;
  if (version !== VERSION) throw new RangeError(`Rows of version ${version} found, version ${VERSION} expected.`);
  const words = HEAD_WORDS + 4 * shifts + 3 * entries;
  if (bytes.length !== 4 * words + nameLength) throw new RangeError('Rows are cut short.');
  let offset = HEAD_WORDS;
  const read = (length: number) => numbers.subarray(offset, (offset += length));
  return {
    kinds: JSON.parse(new TextDecoder().decode(bytes.subarray(4 * words))) as string[],
    kind: read(shifts),
    responses: scaled(read(shifts), ROW_STEP),
    weights: scaled(read(shifts), WEIGHT_STEP),
    ends: read(shifts),
    nodes: read(entries),
    shares: read(entries),
    x: read(entries),
  };
}

import { type GradeCounts, NO_SHIFTS } from '../summaries/grade-counts.js';
import { type KindMoments, NODE_ARRAYS, type ShiftMoments, triangle } from './shift-moments.js';

/** First byte of every encoding; another one is refused. */
const VERSION = 1;
const COUNT_KEYS = Object.keys(NO_SHIFTS).sort() as (keyof GradeCounts)[];
const SCALAR_KEYS = ['shifts', 'weight', 'response', 'square'] as const;

/**
 * Bytes of a vehicle's moments, little-endian, kinds in order of their names: equal moments give equal bytes, so that
 * they can be hashed. About 4·n² bytes per kind with n nodes driven; compresses well.
 */
export function encodeShiftMoments(moments: ShiftMoments): Uint8Array {
  const kinds = [...moments].sort(([a], [b]) => (a < b ? -1 : 1));
  const names = kinds.map(([kind]) => new TextEncoder().encode(kind));
  const size = kinds.reduce((sum, [, own], k) => sum + 2 + names[k].length + kindSize(own.nodes.length), 3);
  const bytes = new Uint8Array(size);
  const view = new DataView(bytes.buffer);
  view.setUint8(0, VERSION);
  view.setUint16(1, kinds.length, true);
  let offset = 3;
  for (const [k, [, own]] of kinds.entries()) {
    view.setUint16(offset, names[k].length, true);
    bytes.set(names[k], offset + 2);
    offset = writeKind(view, offset + 2 + names[k].length, own);
  }
  return bytes;
}

function kindSize(nodeCount: number): number {
  const floats = SCALAR_KEYS.length + COUNT_KEYS.length + NODE_ARRAYS.length * nodeCount + triangle(nodeCount);
  return 8 * floats + 4 + 4 * nodeCount;
}

function writeKind(view: DataView, start: number, own: KindMoments): number {
  let offset = start;
  const write = (values: Float64Array | Int32Array) => {
    // A copy of the memory: every machine that Node runs on is little-endian.
    const target = new Uint8Array(view.buffer, offset, values.byteLength);
    target.set(new Uint8Array(values.buffer, values.byteOffset, values.byteLength));
    offset += values.byteLength;
  };
  write(Float64Array.from([...SCALAR_KEYS.map((key) => own[key]), ...COUNT_KEYS.map((key) => own.counts[key])]));
  write(Int32Array.of(own.nodes.length));
  write(own.nodes);
  for (const key of [...NODE_ARRAYS, 'designSquare'] as const) write(own[key]);
  return offset;
}

/** Reads what `encodeShiftMoments` wrote. Throws a RangeError on another version or on bytes cut short. */
export function decodeShiftMoments(bytes: Uint8Array): ShiftMoments {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const version = view.getUint8(0);
  if (version !== VERSION) throw new RangeError(`Moments of version ${version} found, version ${VERSION} expected.`);
  const moments = new Map<string, KindMoments>();
  let offset = 3;
  for (let k = view.getUint16(1, true); k > 0; k -= 1) {
    const nameLength = view.getUint16(offset, true);
    const name = new TextDecoder().decode(bytes.subarray(offset + 2, offset + 2 + nameLength));
    const [own, end] = readKind(bytes, offset + 2 + nameLength);
    moments.set(name, own);
    offset = end;
  }
  return moments;
}

function readKind(bytes: Uint8Array, start: number): [KindMoments, number] {
  let offset = start;
  const read = (size: number): ArrayBuffer => {
    if (offset + size > bytes.length) throw new RangeError('Moments are cut short.');
    offset += size;
    return bytes.slice(offset - size, offset).buffer;
  };
  const floats = (count: number) => new Float64Array(read(8 * count));
  const [shifts, weight, response, square] = floats(SCALAR_KEYS.length);
  const counted = floats(COUNT_KEYS.length);
  const counts = Object.fromEntries(COUNT_KEYS.map((key, i) => [key, counted[i]])) as unknown as GradeCounts;
  const [nodeCount] = new Uint32Array(read(4));
  const nodes = new Int32Array(read(4 * nodeCount));
  const arrays = Object.fromEntries(NODE_ARRAYS.map((key) => [key, floats(nodeCount)])) as unknown as NodeArrays;
  const designSquare = floats(triangle(nodeCount));
  return [{ shifts, weight, response, square, counts, nodes, designSquare, ...arrays }, offset];
}

type NodeArrays = Pick<KindMoments, (typeof NODE_ARRAYS)[number]>;

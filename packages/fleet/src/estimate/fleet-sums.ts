import type { LostWeight } from './lost-weight.js';
import type { NodeBlock, NodeBlocks } from './node-blocks.js';
import { type KindMoments, ROW_STEP, type ShiftMoments, triangle } from './shift-moments.js';
import { type ShiftRows, startOf } from './shift-rows.js';

/** The moments of a fleet laid out for solving: of Σwxxᵀ only the total over vehicles is needed, by shift kind. */
export interface FleetSums {
  readonly shared: NodeBlock;
  readonly kinds: readonly KindSums[];
  readonly vehicleCount: number;
  /** Shifts with weight, and Σwy². */
  readonly shifts: number;
  readonly square: number;
}

export interface KindSums {
  readonly kind: string;
  readonly block: NodeBlock;
  /** Nodes of the block, then the shared ones. */
  readonly size: number;
  /** Σwxxᵀ, lower triangle of size × size by rows. */
  readonly designSquare: Float64Array;
  readonly designResponse: Float64Array;
  readonly members: readonly KindMember[];
}

/** What one vehicle brings to a kind. */
export interface KindMember {
  readonly vehicle: number;
  readonly weight: number;
  readonly response: number;
  /** Σwx. */
  readonly design: Float64Array;
}

/** Adds the vehicles up. O(vehicles · kinds · nodes driven²), once per solve and not per iteration. */
export function fleetSums({ byKind, shared }: NodeBlocks, fleet: readonly ShiftMoments[]): FleetSums {
  const kinds = [...byKind].map(([kind, block]) => kindSums(kind, block, shared, fleet));
  let [shifts, square] = [0, 0];
  for (const moments of fleet) {
    for (const own of moments.values()) {
      shifts += own.shifts;
      square += own.square;
    }
  }
  return { shared, kinds, vehicleCount: fleet.length, shifts, square };
}

function kindSums(kind: string, block: NodeBlock, shared: NodeBlock, fleet: readonly ShiftMoments[]): KindSums {
  const nodes = [...block.nodes, ...shared.nodes];
  const size = nodes.length;
  const placeOf = new Map(nodes.map((node, place) => [node, place]));
  const designSquare = new Float64Array(size * size);
  const designResponse = new Float64Array(size);
  const members: KindMember[] = [];
  for (const [vehicle, moments] of fleet.entries()) {
    const own = moments.get(kind);
    if (!own || own.weight === 0) continue;
    const places = own.nodes.map((node) => placeOf.get(node) ?? -1);
    members.push({ vehicle, weight: own.weight, response: own.response, design: spread(own.design, places, size) });
    addTo(designSquare, designResponse, own, places, size);
  }
  return { kind, block, size, designSquare, designResponse, members };
}

function spread(values: Float64Array, places: Int32Array, size: number): Float64Array {
  const result = new Float64Array(size);
  for (let i = 0; i < places.length; i += 1) if (places[i] >= 0) result[places[i]] = values[i];
  return result;
}

function addTo(square: Float64Array, response: Float64Array, own: KindMoments, places: Int32Array, size: number): void {
  for (let i = 0; i < places.length; i += 1) {
    const a = places[i];
    if (a < 0) continue;
    response[a] += own.designResponse[i];
    const row = triangle(i);
    for (let j = 0; j <= i; j += 1) {
      const b = places[j];
      if (b >= 0) square[a > b ? a * size + b : b * size + a] += own.designSquare[row + j];
    }
  }
}

/**
 * Sums without the weight that some shifts lose. As every sum of moments is exact they are, to the bit, those of moments
 * without it; but only what changes is touched, where adding the vehicles up again reads all there is.
 * @param blocks those of the sums, gauged for the new weights
 * @param lost by place of the vehicle
 */
export function lessWeight(
  { byKind, shared }: NodeBlocks,
  sums: FleetSums,
  lost: readonly (readonly LostWeight[])[],
): FleetSums {
  const kinds = sums.kinds.map((own) => openKind({ ...own, block: byKind.get(own.kind) ?? own.block }, shared));
  const names = kinds.map((own) => own.sums.kind);
  let { square } = sums;
  for (const [vehicle, parts] of lost.entries()) {
    for (const { rows, shifts, changes } of parts) {
      const kindAt = rows.kinds.map((kind) => kinds[names.indexOf(kind)]);
      for (const [i, shift] of shifts.entries()) {
        addShift(kindAt[rows.kind[shift]], vehicle, rows, shift, changes[i]);
        square += changes[i] * rows.responses[shift] ** 2;
      }
    }
  }
  return { ...sums, shared, square, kinds: kinds.map(({ sums: own, members }) => ({ ...own, members })) };
}

type Mutable<T> = { -readonly [K in keyof T]: T[K] };

/** Sums of a kind that may be changed; a member is copied when it is. */
interface OpenKind {
  readonly sums: KindSums;
  readonly placeOf: ReadonlyMap<number, number>;
  readonly members: KindMember[];
  /** Members by vehicle that were copied. */
  readonly opened: Map<number, Mutable<KindMember>>;
}

function openKind(sums: KindSums, shared: NodeBlock): OpenKind {
  const { designSquare, designResponse, members } = sums;
  return {
    sums: { ...sums, designSquare: designSquare.slice(), designResponse: designResponse.slice() },
    placeOf: new Map([...sums.block.nodes, ...shared.nodes].map((node, place) => [node, place])),
    members: [...members],
    opened: new Map(),
  };
}

function addShift(own: OpenKind, vehicle: number, rows: ShiftRows, shift: number, weight: number): void {
  const { size, designSquare, designResponse } = own.sums;
  const { x, nodes, ends, responses } = rows;
  const response = responses[shift];
  const member = own.opened.get(vehicle) ?? openMember(own, vehicle);
  const { design } = member;
  member.weight += weight;
  member.response += weight * response;
  const [start, end, step] = [startOf(rows, shift), ends[shift], ROW_STEP];
  for (let i = start; i < end; i += 1) {
    const place = own.placeOf.get(nodes[i]) ?? -1;
    if (place < 0) continue;
    const wx = weight * (x[i] * step);
    design[place] += wx;
    designResponse[place] += wx * response;
    for (let j = start; j < end; j += 1) {
      const other = own.placeOf.get(nodes[j]) ?? -1;
      if (other >= 0 && other <= place) designSquare[place * size + other] += wx * (x[j] * step);
    }
  }
}

function openMember({ members, opened }: OpenKind, vehicle: number): Mutable<KindMember> {
  const m = members.findIndex((member) => member.vehicle === vehicle);
  const copy = { ...members[m], design: members[m].design.slice() };
  members[m] = copy;
  opened.set(vehicle, copy);
  return copy;
}

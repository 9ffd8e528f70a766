import type { NodeBlock, NodeBlocks } from './node-blocks.js';
import { type KindMoments, type ShiftMoments, triangle } from './shift-moments.js';

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

import { type CellFilter, coveragePart, matrixPart, PLACE_LIMIT } from './cell-key.js';
import { columnOf, type OutcomeSlice, type SliceCount, WIDTH } from './outcome-slice.js';

/** The slice of one vehicle under one revision. */
export interface PlacedSlice {
  readonly vehicleId: string;
  readonly revisionId: string;
  readonly slice: OutcomeSlice;
}

/** Which share of shifts is asked for. */
export interface Share {
  readonly events: SliceCount;
  readonly trials: SliceCount;
}

/** Events and trials of each vehicle, in one order of vehicles. */
export interface CountColumns {
  readonly events: Float64Array<ArrayBuffer>;
  readonly trials: Float64Array<ArrayBuffer>;
}

/** Counts by vehicle in each part of the operating space, so that intervals can be clustered by vehicle. */
export interface MatrixCounts {
  /** Parts that were driven, rising. */
  readonly parts: readonly number[];
  /** One entry per part. */
  readonly cells: readonly CountColumns[];
}

/**
 * Events and trials by shift kind and load band, or by another part of the key, per vehicle. One pass over the slices:
 * O(cells of all slices), with a result of parts × vehicles.
 */
export function matrixCounts(
  slices: readonly PlacedSlice[],
  share: Share,
  filter: CellFilter,
  partOf: (key: number) => number = matrixPart,
): MatrixCounts {
  const vehicles = indexVehicles(slices);
  const driven: { readonly part: number; readonly columns: CountColumns }[] = [];
  // Place of a part in the list, from 1. A table instead of a Map: it is asked hundreds of thousands of times.
  const placeOf = new Int32Array(PLACE_LIMIT);
  const [events, trials] = [columnOf(share.events), columnOf(share.trials)];
  for (const { vehicleId, slice } of slices) {
    const { keys, counts } = slice;
    const vehicle = vehicles.get(vehicleId) ?? 0;
    let part = -1;
    let cell = emptyColumns(0);
    for (let i = 0; i < keys.length; i++) {
      if ((keys[i] & filter.mask) !== filter.value) continue;
      // Keys are sorted, so that a cell is looked up once for all its parts.
      if (partOf(keys[i]) !== part) {
        part = partOf(keys[i]);
        if (placeOf[part] === 0) placeOf[part] = driven.push({ part, columns: emptyColumns(vehicles.size) });
        cell = driven[placeOf[part] - 1].columns;
      }
      cell.events[vehicle] += counts[events * keys.length + i];
      cell.trials[vehicle] += counts[trials * keys.length + i];
    }
  }
  driven.sort((a, b) => a.part - b.part);
  return { parts: driven.map(({ part }) => part), cells: driven.map(({ columns }) => columns) };
}

function emptyColumns(length: number): CountColumns {
  return { events: new Float64Array(length), trials: new Float64Array(length) };
}

function indexVehicles(slices: readonly PlacedSlice[]): Map<string, number> {
  const index = new Map<string, number>();
  for (const { vehicleId } of slices) if (!index.has(vehicleId)) index.set(vehicleId, index.size);
  return index;
}

/** The counts of several vehicle lists added up vehicle by vehicle; all of one length. */
export function sumCells(cells: readonly CountColumns[]): CountColumns {
  const length = cells[0]?.trials.length ?? 0;
  const sum = { events: new Float64Array(length), trials: new Float64Array(length) };
  for (const { events, trials } of cells) {
    for (let v = 0; v < length; v++) {
      sum.events[v] += events[v];
      sum.trials[v] += trials[v];
    }
  }
  return sum;
}

/** All counts of each vehicle that has any under the filter, by vehicle id. O(cells). */
export function totalsByVehicle(slices: readonly PlacedSlice[], filter: CellFilter): Map<string, Float64Array> {
  const totals = new Map<string, Float64Array>();
  for (const { vehicleId, slice } of slices) {
    const { keys, counts } = slice;
    let sum = totals.get(vehicleId);
    for (let i = 0; i < keys.length; i++) {
      if ((keys[i] & filter.mask) !== filter.value) continue;
      if (sum === undefined) totals.set(vehicleId, (sum = new Float64Array(WIDTH)));
      for (let c = 0; c < WIDTH; c++) sum[c] += counts[c * keys.length + i];
    }
  }
  return totals;
}

/** All counts of one slice by a part of the key (`kindPart` for instance) under the filter. O(cells). */
export function totalsByPart(
  { keys, counts }: OutcomeSlice,
  filter: CellFilter,
  partOf: (key: number) => number,
): Map<number, Float64Array> {
  const totals = new Map<number, Float64Array>();
  for (let i = 0; i < keys.length; i++) {
    if ((keys[i] & filter.mask) !== filter.value) continue;
    const part = partOf(keys[i]);
    let sum = totals.get(part);
    if (sum === undefined) totals.set(part, (sum = new Float64Array(WIDTH)));
    for (let c = 0; c < WIDTH; c++) sum[c] += counts[c * keys.length + i];
  }
  return totals;
}

/** Shifts and vehicles by kind, load and temperature: how much was driven where. */
export interface DrivenPart {
  /** `coveragePart` of the cells. */
  readonly part: number;
  readonly shifts: number;
  readonly vehicles: number;
}

/** How much was driven where, over all slices; parts rising. O(cells). */
export function drivenParts(slices: readonly PlacedSlice[], filter: CellFilter): DrivenPart[] {
  const shifts = new Float64Array(PLACE_LIMIT);
  const vehicles = new Int32Array(PLACE_LIMIT);
  const lastVehicle = new Int32Array(PLACE_LIMIT).fill(-1);
  const index = indexVehicles(slices);
  // Slices of one vehicle lie together, so that a vehicle is counted once without a set.
  const ordered = [...slices].sort((a, b) => (a.vehicleId < b.vehicleId ? -1 : a.vehicleId > b.vehicleId ? 1 : 0));
  for (const { vehicleId, slice } of ordered) {
    const vehicle = index.get(vehicleId) ?? 0;
    for (let i = 0; i < slice.keys.length; i++) {
      if ((slice.keys[i] & filter.mask) !== filter.value) continue;
      const part = coveragePart(slice.keys[i]);
      shifts[part] += slice.counts[i];
      if (lastVehicle[part] === vehicle) continue;
      vehicles[part]++;
      lastVehicle[part] = vehicle;
    }
  }
  const driven: DrivenPart[] = [];
  for (let part = 0; part < PLACE_LIMIT; part++) {
    if (vehicles[part] > 0) driven.push({ part, shifts: shifts[part], vehicles: vehicles[part] });
  }
  return driven;
}

import type { ComparedRevision, OutcomeTable } from '../compare/outcome-table.js';
import { BANDS_LIMIT, bandsPart, hasLoad, KIND_LIMIT, kindPart, programPart, stratumPart } from './cell-key.js';
import type { PlacedSlice, Share } from './fleet-cube.js';
import { columnOf, type OutcomeSlice } from './outcome-slice.js';

/** What the strata of a table stand for. */
export interface NamedStrata {
  /** For each stratum of the table the key of one of its cells. */
  readonly keyOf: readonly number[];
}

/**
 * The slices of two revisions as the table that `compareOutcomes` takes: strata are all of a cell but its speed band.
 * A stratum whose load was not logged is like no other, so each revision gets one of its own. Cells without trials
 * are passed over, and so are vehicles without any. O(cells).
 * @param accept which cells enter; all by default
 */
export function comparisonTable(
  older: readonly PlacedSlice[],
  newer: readonly PlacedSlice[],
  share: Share,
  accept: (key: number) => boolean = () => true,
): OutcomeTable & NamedStrata {
  const all = [...older, ...newer];
  const builder = new TableBuilder(all, share, accept);
  const [before, after] = [byVehicle(older), byVehicle(newer)];
  const vehicles: string[] = [];
  const vehicleStart = [0];
  for (const vehicleId of new Set(all.map((placed) => placed.vehicleId))) {
    builder.startVehicle();
    builder.add(before.get(vehicleId) ?? [], 'older');
    builder.add(after.get(vehicleId) ?? [], 'newer');
    if (builder.length === vehicleStart[vehicles.length]) continue;
    vehicles.push(vehicleId);
    vehicleStart.push(builder.length);
  }
  return { vehicles, vehicleStart: Int32Array.from(vehicleStart), ...builder.columns() };
}

/** The part of a table in the strata that `accept` takes, by the key of one of their cells. O(entries). */
export function partOfTable<Table extends OutcomeTable & NamedStrata>(
  table: Table,
  accept: (key: number) => boolean,
): Table {
  const isAccepted = Uint8Array.from(table.keyOf, (key) => (accept(key) ? 1 : 0));
  const entries = new Int32Array(table.stratum.length);
  const vehicleStart = new Int32Array(table.vehicles.length + 1);
  let length = 0;
  for (let vehicle = 0; vehicle < table.vehicles.length; vehicle++) {
    for (let entry = table.vehicleStart[vehicle]; entry < table.vehicleStart[vehicle + 1]; entry++) {
      if (isAccepted[table.stratum[entry]] === 1) entries[length++] = entry;
    }
    vehicleStart[vehicle + 1] = length;
  }
  const stratum = new Int32Array(length);
  for (let i = 0; i < length; i++) stratum[i] = table.stratum[entries[i]];
  const pick = (values: Float64Array) => {
    const picked = new Float64Array(length);
    for (let i = 0; i < length; i++) picked[i] = values[entries[i]];
    return picked;
  };
  return {
    ...table,
    vehicleStart,
    stratum,
    olderShifts: pick(table.olderShifts),
    olderEvents: pick(table.olderEvents),
    newerShifts: pick(table.newerShifts),
    newerEvents: pick(table.newerEvents),
  };
}

function byVehicle(slices: readonly PlacedSlice[]): Map<string, OutcomeSlice[]> {
  const groups = new Map<string, OutcomeSlice[]>();
  for (const { vehicleId, slice } of slices) {
    const group = groups.get(vehicleId);
    if (group) group.push(slice);
    else groups.set(vehicleId, [slice]);
  }
  return groups;
}

/** Numbers the strata by their first appearance. A table instead of a Map: it is asked hundreds of thousands of times. */
class StratumIndex {
  readonly keyOf: number[] = [];
  private readonly kinds = new Int32Array(KIND_LIMIT).fill(-1);
  private readonly programs: number;
  private readonly shared: Int32Array;
  /** Of the newer revision, for strata that are like no other. */
  private readonly apart: Int32Array;

  constructor(slices: readonly PlacedSlice[]) {
    let kindCount = 0;
    let lastProgram = 0;
    for (const { slice } of slices) {
      for (const key of slice.keys) {
        lastProgram = Math.max(lastProgram, programPart(key));
        if (this.kinds[kindPart(key)] < 0) this.kinds[kindPart(key)] = kindCount++;
      }
    }
    this.programs = lastProgram + 1;
    this.shared = new Int32Array(kindCount * BANDS_LIMIT * this.programs).fill(-1);
    this.apart = this.shared.slice();
  }

  numberOf(key: number, side: ComparedRevision): number {
    const place = (this.kinds[kindPart(key)] * BANDS_LIMIT + bandsPart(key)) * this.programs + programPart(key);
    const numbers = hasLoad(key) || side === 'older' ? this.shared : this.apart;
    if (numbers[place] < 0) {
      numbers[place] = this.keyOf.length;
      this.keyOf.push(key);
    }
    return numbers[place];
  }
}

/** Fills the columns of an `OutcomeTable` vehicle by vehicle. */
class TableBuilder {
  length = 0;
  private readonly strata: StratumIndex;
  /** Entry of each stratum; of the present vehicle when at or after `vehicleStart`. */
  private readonly entryOf: Int32Array;
  private vehicleStart = 0;
  private readonly stratum: Int32Array;
  private readonly sides: Readonly<Record<ComparedRevision, { shifts: Float64Array; events: Float64Array }>>;
  private readonly eventColumn: number;
  private readonly trialColumn: number;
  private readonly accept: (key: number) => boolean;

  constructor(slices: readonly PlacedSlice[], share: Share, accept: (key: number) => boolean) {
    const limit = slices.reduce((sum, { slice }) => sum + slice.keys.length, 0);
    const side = () => ({ shifts: new Float64Array(limit), events: new Float64Array(limit) });
    this.strata = new StratumIndex(slices);
    this.entryOf = new Int32Array(limit).fill(-1);
    this.stratum = new Int32Array(limit);
    this.sides = { older: side(), newer: side() };
    this.eventColumn = columnOf(share.events);
    this.trialColumn = columnOf(share.trials);
    this.accept = accept;
  }

  startVehicle(): void {
    this.vehicleStart = this.length;
  }

  add(slices: readonly OutcomeSlice[], side: ComparedRevision): void {
    const { shifts, events } = this.sides[side];
    for (const { keys, counts } of slices) {
      let part = -1;
      let entry = -1;
      for (let i = 0; i < keys.length; i++) {
        const trials = counts[this.trialColumn * keys.length + i];
        if (trials === 0 || !this.accept(keys[i])) continue;
        if (stratumPart(keys[i]) !== part) {
          part = stratumPart(keys[i]);
          entry = this.entryFor(this.strata.numberOf(keys[i], side));
        }
        shifts[entry] += trials;
        events[entry] += counts[this.eventColumn * keys.length + i];
      }
    }
  }

  columns() {
    const { older, newer } = this.sides;
    return {
      strata: this.strata.keyOf.map((_, k) => k),
      keyOf: this.strata.keyOf,
      stratum: this.stratum.subarray(0, this.length),
      olderShifts: older.shifts.subarray(0, this.length),
      olderEvents: older.events.subarray(0, this.length),
      newerShifts: newer.shifts.subarray(0, this.length),
      newerEvents: newer.events.subarray(0, this.length),
    };
  }

  private entryFor(k: number): number {
    const known = this.entryOf[k];
    if (known >= this.vehicleStart) return known;
    this.entryOf[k] = this.length;
    this.stratum[this.length] = k;
    return this.length++;
  }
}

import type { ComparedRevision, OutcomeTable } from '../compare/outcome-table.js';
import { BANDS_LIMIT, bandsPart, hasLoad, KIND_LIMIT, kindPart, programPart, stratumPart } from './cell-key.js';
import type { PlacedSlice, Share } from './fleet-cube.js';
import { columnOf, type OutcomeSlice, type SliceCount } from './outcome-slice.js';

/** What the strata of a table stand for. */
export interface NamedStrata {
  /** For each stratum of the table the key of one of its cells. */
  readonly keyOf: readonly number[];
}
export type SliceTable = OutcomeTable & NamedStrata;

/** The slices of two revisions laid side by side, so that the table of any share follows by one pass over its counts. */
export interface PairedSlices extends NamedStrata {
  /** Sum of a count in each of these strata under either revision. O(cells). */
  totals(count: SliceCount): Readonly<Record<ComparedRevision, Float64Array>>;
  /**
   * What `use` makes of the table of a share. Cells without trials are passed over, and so are vehicles without any.
   * The table is overwritten by the next one: pages ask for several, each of megabytes. O(cells).
   */
  withTable<Result>(share: Share, use: (table: SliceTable) => Result): Result;
}

/**
 * Lays the slices of two revisions side by side for the tables that `compareOutcomes` takes: strata are all of a cell
 * but its speed band. A stratum whose load was not logged is like no other, so each revision gets one of its own.
 * O(cells).
 */
export function pairSlices(older: readonly PlacedSlice[], newer: readonly PlacedSlice[]): PairedSlices {
  const all = [...older, ...newer];
  const pairing = new Pairing(all);
  const [before, after] = [byVehicle(older), byVehicle(newer)];
  for (const vehicleId of new Set(all.map((placed) => placed.vehicleId))) {
    pairing.addVehicle(vehicleId, { older: before.get(vehicleId) ?? [], newer: after.get(vehicleId) ?? [] });
  }
  return {
    keyOf: pairing.keyOf,
    totals: (count) => pairing.totals(count),
    withTable: (share, use) => use(pairing.table(share)),
  };
}

/** The table of one share; see `pairSlices`. O(cells). */
export function comparisonTable(
  older: readonly PlacedSlice[],
  newer: readonly PlacedSlice[],
  share: Share,
): SliceTable {
  return pairSlices(older, newer).withTable(share, (table) => table);
}

/**
 * Takes a table apart by a part of the key of its strata (`kindPart` for instance). Every part keeps all vehicles and
 * strata; one that nothing lies in has no entries. One pass for all parts: O(entries).
 */
export function partsOfTable<Table extends SliceTable>(
  table: Table,
  partOf: (key: number) => number,
): (part: number) => Table {
  const places = new Map<number, number>();
  const placeOf = Int32Array.from(table.keyOf, (key) => {
    const part = partOf(key);
    const place = places.get(part) ?? places.size;
    places.set(part, place);
    return place;
  });
  const lengths = new Int32Array(places.size + 1);
  for (let entry = 0; entry < table.stratum.length; entry++) lengths[placeOf[table.stratum[entry]]]++;
  // The last takes nothing: it stands for every part that is not there.
  const parts = Array.from(lengths, (length) => emptyPart(table.vehicles.length, length));
  const ends = new Int32Array(parts.length);
  for (let vehicle = 0; vehicle < table.vehicles.length; vehicle++) {
    for (let entry = table.vehicleStart[vehicle]; entry < table.vehicleStart[vehicle + 1]; entry++) {
      const place = placeOf[table.stratum[entry]];
      copyEntry(table, entry, parts[place], ends[place]++);
    }
    for (let place = 0; place < parts.length; place++) parts[place].vehicleStart[vehicle + 1] = ends[place];
  }
  return (part) => ({ ...table, ...parts[places.get(part) ?? places.size] });
}

type Entries = Pick<OutcomeTable, 'vehicleStart' | 'stratum' | (typeof ENTRY_COUNTS)[number]>;
const ENTRY_COUNTS = ['olderShifts', 'olderEvents', 'newerShifts', 'newerEvents'] as const;

function emptyPart(vehicleCount: number, length: number): Entries {
  return {
    vehicleStart: new Int32Array(vehicleCount + 1),
    stratum: new Int32Array(length),
    olderShifts: new Float64Array(length),
    olderEvents: new Float64Array(length),
    newerShifts: new Float64Array(length),
    newerEvents: new Float64Array(length),
  };
}

function copyEntry(from: Entries, entry: number, to: Entries, at: number): void {
  to.stratum[at] = from.stratum[entry];
  to.olderShifts[at] = from.olderShifts[entry];
  to.olderEvents[at] = from.olderEvents[entry];
  to.newerShifts[at] = from.newerShifts[entry];
  to.newerEvents[at] = from.newerEvents[entry];
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

/** Which entry of the tables each cell of each slice is counted in, vehicle by vehicle. */
class Pairing {
  private readonly strata: StratumIndex;
  private readonly vehicles: string[] = [];
  private readonly vehicleStart = [0];
  private readonly slices: { readonly side: ComparedRevision; slice: OutcomeSlice; entries: Int32Array }[] = [];
  /** Stratum of each entry. */
  private readonly stratum: Int32Array;
  /** Entry of each stratum; of the present vehicle when at or after its start. */
  private readonly entryOf: Int32Array;
  private length = 0;
  /** For the counts of a table, used again for the next. */
  private room: Entries | undefined;

  constructor(slices: readonly PlacedSlice[]) {
    const limit = slices.reduce((sum, { slice }) => sum + slice.keys.length, 0);
    this.strata = new StratumIndex(slices);
    this.stratum = new Int32Array(limit);
    this.entryOf = new Int32Array(limit).fill(-1);
  }

  addVehicle(vehicleId: string, bySide: Readonly<Record<ComparedRevision, readonly OutcomeSlice[]>>): void {
    const start = this.length;
    for (const side of ['older', 'newer'] as const) {
      for (const slice of bySide[side]) this.slices.push({ side, slice, entries: this.entriesOf(slice, side, start) });
    }
    this.vehicles.push(vehicleId);
    this.vehicleStart.push(this.length);
  }

  get keyOf(): readonly number[] {
    return this.strata.keyOf;
  }

  totals(count: SliceCount): Record<ComparedRevision, Float64Array> {
    const strata = this.keyOf.length;
    const totals = { older: new Float64Array(strata), newer: new Float64Array(strata) };
    for (const { side, slice, entries } of this.slices) {
      const [sums, values] = [totals[side], columnIn(slice, count)];
      for (let i = 0; i < entries.length; i++) sums[this.stratum[entries[i]]] += values[i];
    }
    return totals;
  }

  table(share: Share): SliceTable {
    const sums = this.sums(share);
    const keep = new Int32Array(this.strata.keyOf.length).fill(-1);
    const keyOf: number[] = [];
    const vehicles: string[] = [];
    const vehicleStart = [0];
    let length = 0;
    for (let vehicle = 0; vehicle < this.vehicles.length; vehicle++) {
      for (let entry = this.vehicleStart[vehicle]; entry < this.vehicleStart[vehicle + 1]; entry++) {
        if (sums.olderShifts[entry] + sums.newerShifts[entry] === 0) continue;
        const k = sums.stratum[entry];
        if (keep[k] < 0) keep[k] = keyOf.push(this.strata.keyOf[k]) - 1;
        copyEntry(sums, entry, sums, length);
        sums.stratum[length++] = keep[k];
      }
      if (length === vehicleStart[vehicles.length]) continue;
      vehicles.push(this.vehicles[vehicle]);
      vehicleStart.push(length);
    }
    return {
      vehicles,
      vehicleStart: Int32Array.from(vehicleStart),
      strata: keyOf.map((_, k) => k),
      keyOf,
      stratum: sums.stratum.subarray(0, length),
      olderShifts: sums.olderShifts.subarray(0, length),
      olderEvents: sums.olderEvents.subarray(0, length),
      newerShifts: sums.newerShifts.subarray(0, length),
      newerEvents: sums.newerEvents.subarray(0, length),
    };
  }

  /** Trials and events of every entry, with those that have none. */
  private sums(share: Share): Entries {
    const sums = (this.room ??= emptyPart(this.vehicles.length, this.length));
    for (const name of ENTRY_COUNTS) sums[name].fill(0);
    sums.stratum.set(this.stratum.subarray(0, this.length));
    for (const { side, slice, entries } of this.slices) {
      const shifts = side === 'older' ? sums.olderShifts : sums.newerShifts;
      const happened = side === 'older' ? sums.olderEvents : sums.newerEvents;
      const [trials, events] = [columnIn(slice, share.trials), columnIn(slice, share.events)];
      for (let i = 0; i < entries.length; i++) {
        shifts[entries[i]] += trials[i];
        if (trials[i] > 0) happened[entries[i]] += events[i];
      }
    }
    return sums;
  }

  private entriesOf({ keys }: OutcomeSlice, side: ComparedRevision, vehicleStart: number): Int32Array {
    const entries = new Int32Array(keys.length);
    let part = -1;
    let entry = -1;
    for (let i = 0; i < keys.length; i++) {
      if (stratumPart(keys[i]) !== part) {
        part = stratumPart(keys[i]);
        entry = this.entryFor(this.strata.numberOf(keys[i], side), vehicleStart);
      }
      entries[i] = entry;
    }
    return entries;
  }

  private entryFor(k: number, vehicleStart: number): number {
    const known = this.entryOf[k];
    if (known >= vehicleStart) return known;
    this.entryOf[k] = this.length;
    this.stratum[this.length] = k;
    return this.length++;
  }
}

function columnIn({ keys, counts }: OutcomeSlice, count: SliceCount): Uint32Array {
  const column = columnOf(count);
  return counts.subarray(column * keys.length, (column + 1) * keys.length);
}

import type { ComparedRevision, OutcomeTable } from '../compare/outcome-table.js';
import { hasLoad, stratumPart } from './cell-key.js';
import type { PlacedSlice, Share } from './fleet-cube.js';
import { addSlices, columnOf, EMPTY_SLICE, type OutcomeSlice, type SliceCount, withoutSpeed } from './outcome-slice.js';

/** What the strata of a table stand for. */
export interface NamedStrata {
  /** For each stratum of the table the key of one of its cells. */
  readonly keyOf: readonly number[];
}
export type SliceTable = OutcomeTable & NamedStrata;

/** Above every key. */
const NO_KEY = 2 ** 32;
/** Under which revisions a vehicle drove a stratum. */
const OLDER = 1;
const NEWER = 2;

interface VehiclePair extends Readonly<Record<ComparedRevision, OutcomeSlice>> {
  readonly vehicleId: string;
}

/**
 * The slices of two revisions laid side by side for the tables that `compareOutcomes` takes, so that the table of any
 * share follows by one pass over its counts. Strata are all of a cell but its speed band, which slices come without
 * (`withoutSpeed`). A stratum whose load was not logged is like no other, so each revision gets one of its own.
 */
export class PairedSlices implements NamedStrata {
  private readonly strata = new StratumIndex();
  private readonly room = new EntryRoom();
  private vehicles: readonly VehiclePair[] = [];
  private vehicleStart = new Int32Array(1);
  /** Of each entry its stratum and the revisions (`OLDER`, `NEWER` or both): each takes the next cell of theirs. */
  private stratum = new Int32Array(0);
  private sides = new Uint8Array(0);
  private length = 0;

  /** Lays these side by side instead of what was before. O(cells). */
  pair(older: readonly PlacedSlice[], newer: readonly PlacedSlice[]): void {
    const [before, after] = [byVehicle(older), byVehicle(newer)];
    this.vehicles = Array.from(new Set([...before.keys(), ...after.keys()]), (vehicleId) => ({
      vehicleId,
      older: before.get(vehicleId) ?? EMPTY_SLICE,
      newer: after.get(vehicleId) ?? EMPTY_SLICE,
    }));
    this.clear();
    for (const [vehicle, { older, newer }] of this.vehicles.entries()) {
      this.merge(older.keys, newer.keys);
      this.vehicleStart[vehicle + 1] = this.length;
    }
  }

  get keyOf(): readonly number[] {
    return this.strata.keyOf;
  }

  /** Sum of a count in each of these strata under either revision. O(cells). */
  totals(count: SliceCount): Readonly<Record<ComparedRevision, Float64Array>> {
    const totals = { older: new Float64Array(this.keyOf.length), newer: new Float64Array(this.keyOf.length) };
    for (let vehicle = 0; vehicle < this.vehicles.length; vehicle++) this.addTo(totals, vehicle, count);
    return totals;
  }

  /**
   * What `use` makes of the table of a share. Cells without trials are passed over, and so are vehicles without any.
   * The table is overwritten by the next one: pages ask for several, each of megabytes. O(cells).
   */
  withTable<Result>(share: Share, use: (table: SliceTable) => Result): Result {
    const entries = this.room.take(this.length);
    const vehicles: string[] = [];
    const vehicleStart = [0];
    let length = 0;
    for (const [vehicle, { vehicleId }] of this.vehicles.entries()) {
      const end = this.copyCounts(vehicle, share, entries, length);
      if (end === length) continue;
      length = end;
      vehicles.push(vehicleId);
      vehicleStart.push(length);
    }
    const { keyOf } = this;
    const named = { vehicles, vehicleStart: Int32Array.from(vehicleStart), strata: keyOf.map((_, k) => k), keyOf };
    return use({ ...named, ...entriesIn(entries, 0, length) });
  }

  private clear(): void {
    let cells = 0;
    let lastKey = 0;
    for (const { keys } of this.vehicles.flatMap(({ older, newer }) => [older, newer])) {
      cells += keys.length;
      lastKey = Math.max(lastKey, keys.at(-1) ?? 0);
    }
    this.strata.clear(lastKey);
    this.vehicleStart = new Int32Array(this.vehicles.length + 1);
    if (this.sides.length < cells) {
      this.stratum = new Int32Array(withSpare(cells));
      this.sides = new Uint8Array(withSpare(cells));
    }
    this.length = 0;
  }

  /** Adds the entries of a vehicle: both are sorted, each stratum once. */
  private merge(older: Uint32Array, newer: Uint32Array): void {
    let i = 0;
    let j = 0;
    while (i < older.length || j < newer.length) {
      const before = i < older.length ? older[i] : NO_KEY;
      const after = j < newer.length ? newer[j] : NO_KEY;
      const key = Math.min(before, after);
      const isOlder = before === key;
      const isNewer = after === key && !(isOlder && !hasLoad(key));
      this.stratum[this.length] = isOlder || hasLoad(key) ? this.strata.numberOf(key) : this.strata.numberApart(key);
      this.sides[this.length++] = (isOlder ? OLDER : 0) + (isNewer ? NEWER : 0);
      if (isOlder) i++;
      if (isNewer) j++;
    }
  }

  private addTo(totals: Record<ComparedRevision, Float64Array>, vehicle: number, count: SliceCount): void {
    const { stratum, sides } = this;
    const { older, newer } = totals;
    const [ofOlder, ofNewer] = [OLDER, NEWER];
    const olderCounts = columnIn(this.vehicles[vehicle].older, count);
    const newerCounts = columnIn(this.vehicles[vehicle].newer, count);
    const end = this.vehicleStart[vehicle + 1];
    let i = 0;
    let j = 0;
    for (let entry = this.vehicleStart[vehicle]; entry < end; entry++) {
      if (sides[entry] & ofOlder) older[stratum[entry]] += olderCounts[i++];
      if (sides[entry] & ofNewer) newer[stratum[entry]] += newerCounts[j++];
    }
  }

  /** Copies the counts of one vehicle where it has trials to `at` and on. Returns where they end. */
  private copyCounts(vehicle: number, { trials, events }: Share, to: Entries, at: number): number {
    const { stratum, sides } = this;
    const [ofOlder, ofNewer] = [OLDER, NEWER];
    const { older, newer } = this.vehicles[vehicle];
    const [trials0, events0] = [columnIn(older, trials), columnIn(older, events)];
    const [trials1, events1] = [columnIn(newer, trials), columnIn(newer, events)];
    const { stratum: strata, olderShifts, olderEvents, newerShifts, newerEvents } = to;
    const end = this.vehicleStart[vehicle + 1];
    let i = 0;
    let j = 0;
    for (let entry = this.vehicleStart[vehicle]; entry < end; entry++) {
      const side = sides[entry];
      const n0 = side & ofOlder ? trials0[i] : 0;
      const n1 = side & ofNewer ? trials1[j] : 0;
      if (n0 + n1 > 0) {
        strata[at] = stratum[entry];
        olderShifts[at] = n0;
        olderEvents[at] = n0 === 0 ? 0 : events0[i];
        newerShifts[at] = n1;
        newerEvents[at++] = n1 === 0 ? 0 : events1[j];
      }
      if (side & ofOlder) i++;
      if (side & ofNewer) j++;
    }
    return at;
  }
}

/** The table of one share, from slices with or without speed bands; see `PairedSlices`. O(cells). */
export function comparisonTable(
  older: readonly PlacedSlice[],
  newer: readonly PlacedSlice[],
  share: Share,
): SliceTable {
  const plain = (slices: readonly PlacedSlice[]) =>
    slices.map((placed) => ({ ...placed, slice: withoutSpeed(placed.slice) }));
  const paired = new PairedSlices();
  paired.pair(plain(older), plain(newer));
  return paired.withTable(share, (table) => table);
}

/**
 * Takes a table apart by a part of the key of its strata (`kindPart` for instance). Every part keeps all vehicles and
 * strata; one that nothing lies in has no entries. One pass for all parts: O(entries).
 * @param room of parts that are not needed any more
 */
export function partsOfTable<Table extends SliceTable>(
  table: Table,
  partOf: (key: number) => number,
  room = new EntryRoom(),
): (part: number) => Table {
  const places = new Map<number, number>();
  const placeOf = Int32Array.from(table.keyOf, (key) => {
    const part = partOf(key);
    const place = places.get(part) ?? places.size;
    places.set(part, place);
    return place;
  });
  // The last takes nothing: it stands for every part that is not there.
  const { sorted, starts, vehicleStarts } = sortByPlace(table, placeOf, places.size + 1, room);
  return (part) => {
    const place = places.get(part) ?? places.size;
    const entries = entriesIn(sorted, starts[place], starts[place + 1]);
    return { ...table, ...entries, vehicleStart: vehicleStarts[place] };
  };
}

/** The entries of a table by the place of their stratum, and within it by vehicle as before. */
function sortByPlace(table: OutcomeTable, placeOf: Int32Array, placeCount: number, room: EntryRoom) {
  // Looked up once: hundreds of thousands of entries are moved.
  const { vehicleStart, stratum, olderShifts, olderEvents, newerShifts, newerEvents } = table;
  const sorted = room.take(stratum.length);
  const { stratum: k, olderShifts: n0, olderEvents: x0, newerShifts: n1, newerEvents: x1 } = sorted;
  const starts = startsOf(stratum, placeOf, placeCount);
  const ends = starts.slice();
  const vehicleStarts = Array.from({ length: placeCount }, () => new Int32Array(vehicleStart.length));
  for (let vehicle = 0; vehicle < vehicleStart.length - 1; vehicle++) {
    const end = vehicleStart[vehicle + 1];
    for (let entry = vehicleStart[vehicle]; entry < end; entry++) {
      const at = ends[placeOf[stratum[entry]]]++;
      k[at] = stratum[entry];
      n0[at] = olderShifts[entry];
      x0[at] = olderEvents[entry];
      n1[at] = newerShifts[entry];
      x1[at] = newerEvents[entry];
    }
    for (let place = 0; place < placeCount; place++) {
      vehicleStarts[place][vehicle + 1] = ends[place] - starts[place];
    }
  }
  return { sorted, starts, vehicleStarts };
}

/** Where the entries of each place begin, and after the last where they end. */
function startsOf(stratum: Int32Array, placeOf: Int32Array, placeCount: number): Int32Array {
  const starts = new Int32Array(placeCount + 1);
  for (let entry = 0; entry < stratum.length; entry++) starts[placeOf[stratum[entry]] + 1]++;
  for (let place = 0; place < placeCount; place++) starts[place + 1] += starts[place];
  return starts;
}

type Entries = Omit<OutcomeTable, 'vehicles' | 'strata' | 'vehicleStart'>;

function emptyEntries(length: number): Entries {
  return {
    stratum: new Int32Array(length),
    olderShifts: new Uint32Array(length),
    olderEvents: new Uint32Array(length),
    newerShifts: new Uint32Array(length),
    newerEvents: new Uint32Array(length),
  };
}

/** Memory for the entries of tables, used again: fresh megabytes cost more time than what is done in them. */
export class EntryRoom {
  private entries = emptyEntries(0);

  /** At least so many, instead of those that were taken before. */
  take(length: number): Entries {
    if (this.entries.stratum.length < length) this.entries = emptyEntries(withSpare(length));
    return this.entries;
  }
}

/** With every drive there are a few more. */
function withSpare(length: number): number {
  return Math.ceil(1.1 * length);
}

function entriesIn(entries: Entries, start: number, end: number): Entries {
  return {
    stratum: entries.stratum.subarray(start, end),
    olderShifts: entries.olderShifts.subarray(start, end),
    olderEvents: entries.olderEvents.subarray(start, end),
    newerShifts: entries.newerShifts.subarray(start, end),
    newerEvents: entries.newerEvents.subarray(start, end),
  };
}

function byVehicle(slices: readonly PlacedSlice[]): Map<string, OutcomeSlice> {
  const byId = new Map<string, OutcomeSlice>();
  for (const { vehicleId, slice } of slices) {
    const known = byId.get(vehicleId);
    byId.set(vehicleId, known ? addSlices(known, slice) : slice);
  }
  return byId;
}

/** Numbers the strata by their first appearance. A table instead of a Map: it is asked hundreds of thousands of times. */
class StratumIndex {
  keyOf: number[] = [];
  /** Number and 1 of each stratum, 0 where it has none. */
  private numbers = new Int32Array(0);
  /** Of the newer revision, for strata that are like no other. */
  private readonly apart = new Map<number, number>();

  /** Forgets all numbers. Keys up to `lastKey` may follow. */
  clear(lastKey: number): void {
    for (const key of this.keyOf) this.numbers[stratumPart(key)] = 0;
    if (this.numbers.length <= stratumPart(lastKey)) this.numbers = new Int32Array(stratumPart(lastKey) + 1);
    this.apart.clear();
    this.keyOf = [];
  }

  numberOf(key: number): number {
    const part = stratumPart(key);
    if (this.numbers[part] === 0) this.numbers[part] = this.keyOf.push(key);
    return this.numbers[part] - 1;
  }

  numberApart(key: number): number {
    const number = this.apart.get(key) ?? this.keyOf.push(key) - 1;
    this.apart.set(key, number);
    return number;
  }
}

function columnIn({ keys, counts }: OutcomeSlice, count: SliceCount): Uint32Array {
  const column = columnOf(count);
  return counts.subarray(column * keys.length, (column + 1) * keys.length);
}

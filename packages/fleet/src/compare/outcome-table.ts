export type ComparedRevision = 'older' | 'newer';

/** Shifts and events (say, flares) of one vehicle in one operating-point stratum under one revision. */
export interface OutcomeRow {
  /** Any key that names the operating point, e.g. `3-4|load 2|temperature 1`. */
  readonly stratum: string | number;
  readonly vehicle: string | number;
  readonly revision: ComparedRevision;
  readonly shifts: number;
  readonly events: number;
}

/**
 * The rows of two revisions side by side: one entry per vehicle and stratum, entries of one vehicle together.
 * Vehicle j owns entries `vehicleStart[j]` (inclusive) to `vehicleStart[j + 1]` (exclusive).
 */
export interface OutcomeTable {
  readonly vehicles: readonly (string | number)[];
  readonly strata: readonly (string | number)[];
  readonly vehicleStart: Int32Array;
  /** Index into `strata`. */
  readonly stratum: Int32Array;
  /** Whole numbers, and small ones: how much memory is read decides what a comparison costs. */
  readonly olderShifts: Uint32Array;
  readonly olderEvents: Uint32Array;
  readonly newerShifts: Uint32Array;
  readonly newerEvents: Uint32Array;
}

type Entry = Record<'olderShifts' | 'olderEvents' | 'newerShifts' | 'newerEvents', number>;

/** Brings rows in any order into a table. Rows of the same vehicle, stratum and revision are added up. O(rows). */
export function tabulateOutcomes(rows: Iterable<OutcomeRow>): OutcomeTable {
  const stratumIndex = new Map<string | number, number>();
  const byVehicle = new Map<string | number, Map<number, Entry>>();
  let entryCount = 0;
  for (const row of rows) {
    const stratum = getOrAdd(stratumIndex, row.stratum, () => stratumIndex.size);
    const entries = getOrAdd(byVehicle, row.vehicle, () => new Map<number, Entry>());
    const entry = getOrAdd(entries, stratum, () => {
      entryCount += 1;
      return { olderShifts: 0, olderEvents: 0, newerShifts: 0, newerEvents: 0 };
    });
    if (row.revision === 'older') {
      entry.olderShifts += row.shifts;
      entry.olderEvents += row.events;
    } else {
      entry.newerShifts += row.shifts;
      entry.newerEvents += row.events;
    }
  }
  return flatten(byVehicle, [...stratumIndex.keys()], entryCount);
}

function getOrAdd<Key, Value>(map: Map<Key, Value>, key: Key, make: () => Value): Value {
  const known = map.get(key);
  if (known !== undefined) return known;
  const made = make();
  map.set(key, made);
  return made;
}

function flatten(
  byVehicle: Map<string | number, Map<number, Entry>>,
  strata: (string | number)[],
  entryCount: number,
): OutcomeTable {
  const table = {
    vehicles: [...byVehicle.keys()],
    strata,
    vehicleStart: new Int32Array(byVehicle.size + 1),
    stratum: new Int32Array(entryCount),
    olderShifts: new Uint32Array(entryCount),
    olderEvents: new Uint32Array(entryCount),
    newerShifts: new Uint32Array(entryCount),
    newerEvents: new Uint32Array(entryCount),
  };
  let at = 0;
  let vehicle = 0;
  for (const entries of byVehicle.values()) {
    for (const [stratum, entry] of entries) {
      table.stratum[at] = stratum;
      table.olderShifts[at] = entry.olderShifts;
      table.olderEvents[at] = entry.olderEvents;
      table.newerShifts[at] = entry.newerShifts;
      table.newerEvents[at] = entry.newerEvents;
      at += 1;
    }
    vehicle += 1;
    table.vehicleStart[vehicle] = at;
  }
  return table;
}

import {
  cellFilter,
  decodeMeasures,
  decodeSlice,
  type OutcomeSlice,
  type PlacedSlice,
  withoutBands,
  withoutSpeed,
} from '@syncline/fleet';
import { and, asc, count, eq, inArray, max } from 'drizzle-orm';
import type { Db } from '../database/context.js';
import { fleetSlices } from '../schema/shifts.js';
import { cohortIds } from './cohort.js';
import type { FleetFilter, FleetMeasures, FleetSlices } from './fleet.js';
import { readNames } from './summary-names.js';

/** Decoded summaries are kept in memory up to this (MiB): those of ten million shifts of 500 cars take a third. */
export const SLICE_CACHE_MIB = 128;

/** Summaries that are decoded at once while warming up: some milliseconds. */
const WARM_UP_STEP = 8;

interface Kept {
  readonly version: number;
  readonly summary: KeptSummary;
  /** The query that used it last. */
  usedBy: number;
}

/** What is kept of a summary. */
interface KeptSummary {
  /** Speed bands added together. */
  readonly slice: OutcomeSlice;
  /** All bands added together. */
  readonly coarse: OutcomeSlice;
}

function decode(bytes: Buffer): KeptSummary {
  const slice = withoutSpeed(decodeSlice(bytes));
  return { slice, coarse: withoutBands(slice) };
}

export type SummaryReader = ReturnType<typeof summaryReader>;

/** Reads packed summaries, decoding again only those that changed. */
export function summaryReader(db: Db, { cacheMib = SLICE_CACHE_MIB } = {}) {
  const cache = new SliceCache(cacheMib * 2 ** 20);

  function placesOf(filter: FleetFilter) {
    const cohort = cohortIds(db, filter);
    const rows = db
      .select({
        id: fleetSlices.id,
        revisionId: fleetSlices.revisionId,
        vehicleId: fleetSlices.vehicleId,
        version: fleetSlices.version,
      })
      .from(fleetSlices)
      .where(whereFilter(filter))
      .orderBy(asc(fleetSlices.vehicleId), asc(fleetSlices.revisionId))
      .all();
    return cohort === undefined ? rows : rows.filter(({ vehicleId }) => cohort.has(vehicleId));
  }

  const readOutcomes = db.$client.prepare<[number], Buffer>('SELECT outcomes FROM fleet_slices WHERE id = ?').pluck();
  const readMeasures = db.$client.prepare<[number], Buffer>('SELECT measures FROM fleet_slices WHERE id = ?').pluck();

  const readVersion = db.$client.prepare<[number], number>('SELECT version FROM fleet_slices WHERE id = ?').pluck();
  const isStill = (id: number, version: number) => readVersion.get(id) === version;

  function summaryOf(id: number, version: number): KeptSummary {
    const kept = cache.find(id, version);
    if (kept) return kept;
    const summary = decode(bytesOf(readOutcomes.get(id)));
    // What a transaction wrote may be undone, and its version be given again.
    if (!db.$client.inTransaction) cache.keep(id, version, summary);
    return summary;
  }

  return {
    /** See `FleetReads.slices`. @param part `coarse` for counts by shift kind and program alone, a tenth of them */
    slices(filter: FleetFilter, part: keyof KeptSummary = 'slice'): FleetSlices {
      cache.beginQuery();
      const names = readNames(db, filter.platformId);
      const program = filter.program === undefined ? undefined : names.programs.indexOf(filter.program);
      const cells = cellFilter({ temperatureBand: filter.fluidTemperatureBand, program });
      const slices =
        program === -1
          ? []
          : placesOf(filter).map(
              ({ id, version, ...place }): PlacedSlice => ({ ...place, slice: summaryOf(id, version)[part] }),
            );
      return { slices, cells, names };
    },

    /** See `FleetReads.measures`. */
    measures(filter: Omit<FleetFilter, 'program'>): FleetMeasures {
      const places = placesOf(filter);
      return {
        names: readNames(db, filter.platformId),
        slices: function* () {
          for (const { id, revisionId, vehicleId } of places) {
            yield { revisionId, vehicleId, slice: decodeMeasures(bytesOf(readMeasures.get(id))) };
          }
        },
      };
    },

    /** See `FleetReads.warmUp`. */
    *warmUp(): Generator<void> {
      const rows = db.select({ id: fleetSlices.id, version: fleetSlices.version }).from(fleetSlices).all();
      for (const [i, { id, version }] of rows.entries()) {
        if (cache.isFull()) return;
        // One that was changed or removed meanwhile is left to whoever asks for it.
        const bytes = isStill(id, version) ? readOutcomes.get(id) : undefined;
        if (bytes && !cache.find(id, version)) cache.keep(id, version, decode(bytes));
        if (i % WARM_UP_STEP === WARM_UP_STEP - 1) yield;
      }
    },

    /** See `FleetReads.state`. */
    state(filter: FleetFilter): string {
      const cohort = cohortIds(db, filter);
      const row = db
        .select({ rows: count(), newest: max(fleetSlices.version) })
        .from(fleetSlices)
        .where(whereFilter(filter))
        .get();
      return [row?.rows, row?.newest, ...(cohort ?? [])].join(' ');
    },
  };
}

function bytesOf(bytes: Buffer | undefined): Buffer {
  if (bytes === undefined) throw new Error('A summary went away while it was read.');
  return bytes;
}

/** Summaries of a platform, or those under one revision. */
export function whereFilter({ platformId, revisionId, revisionIds }: FleetFilter) {
  return and(
    eq(fleetSlices.platformId, platformId),
    revisionId === undefined ? undefined : eq(fleetSlices.revisionId, revisionId),
    revisionIds === undefined ? undefined : inArray(fleetSlices.revisionId, [...revisionIds]),
  );
}

/** The least recently used go first, but none that the present query uses: it would only read them again and again. */
class SliceCache {
  private readonly kept = new Map<number, Kept>();
  private readonly limitBytes: number;
  private bytes = 0;
  private query = 0;

  constructor(limitBytes: number) {
    this.limitBytes = limitBytes;
  }

  beginQuery(): void {
    this.query++;
  }

  isFull(): boolean {
    return this.bytes > 0.9 * this.limitBytes;
  }

  find(id: number, version: number): KeptSummary | undefined {
    const found = this.kept.get(id);
    if (found === undefined) return undefined;
    this.kept.delete(id);
    if (found.version !== version) {
      this.bytes -= sizeOf(found.summary);
      return undefined;
    }
    found.usedBy = this.query;
    this.kept.set(id, found);
    return found.summary;
  }

  keep(id: number, version: number, summary: KeptSummary): void {
    const size = sizeOf(summary);
    for (const [oldest, { usedBy, summary: old }] of this.kept) {
      if (this.bytes + size <= this.limitBytes || usedBy === this.query) break;
      this.kept.delete(oldest);
      this.bytes -= sizeOf(old);
    }
    if (this.bytes + size > this.limitBytes) return;
    this.kept.set(id, { version, summary, usedBy: this.query });
    this.bytes += size;
  }
}

function sizeOf({ slice, coarse }: KeptSummary): number {
  return byteLengthOf(slice) + byteLengthOf(coarse);
}

function byteLengthOf({ keys, counts }: OutcomeSlice): number {
  return keys.byteLength + counts.byteLength;
}

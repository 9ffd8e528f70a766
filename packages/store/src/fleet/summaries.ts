import {
  addMeasures,
  addSlices,
  decodeMeasures,
  decodeSlice,
  EMPTY_MEASURES,
  EMPTY_SLICE,
  encodeMeasures,
  encodeSlice,
  sameMeasures,
  sameSlice,
  sliceTotals,
  subtractMeasures,
  subtractSlice,
} from '@syncline/fleet';
import { and, eq, sql } from 'drizzle-orm';
import type { Db } from '../database/context.js';
import { countEvidence } from '../proposals/count-evidence.js';
import { fleetSlices, summaryState } from '../schema/shifts.js';
import { vehicles } from '../schema/vehicles.js';
import { toCounts } from './count-columns.js';
import { countShifts, type PlacedSummary, placeKey, type Summary, type SummaryPlace } from './count-shifts.js';
import type { OutcomeCounts, SummaryDifference } from './fleet.js';
import { NameNumbers } from './summary-names.js';

const NOTHING: Summary = { outcomes: EMPTY_SLICE, measures: EMPTY_MEASURES };

/**
 * Changes the shifts of a log by `change`, what the summaries say of them and the evidence of its car. Every change of
 * shifts goes through here or is followed by `rebuildSummaries` and `countEvidenceOf`. Part of a larger transaction.
 */
export function changeShiftsOf(db: Db, logId: string, change: () => void): void {
  const numbersOf = numbering(db);
  const before = countShifts(db, { logId }, numbersOf);
  change();
  const after = countShifts(db, { logId }, numbersOf);
  const places = new Map([...before, ...after].map((placed) => [placeKey(placed), placed]));
  if (places.size === 0) return;
  const version = nextVersion(db);
  for (const [key, place] of places) {
    const summaryIn = (list: readonly PlacedSummary[]) => list.find((placed) => placeKey(placed) === key)?.summary;
    const kept = readSummary(db, place) ?? NOTHING;
    const [gone, come] = [summaryIn(before), summaryIn(after)];
    const rest = gone ? subtract(kept, gone) : kept;
    writeSummary(db, place, { version, summary: come ? add(rest, come) : rest });
    if (place.revisionId !== '') countEvidence(db, place);
  }
  numbersOf.keep();
}

/** Empties the summaries, all or those of a platform, and counts every shift anew. Part of a larger transaction. */
export function rebuildSummaries(db: Db, platformId?: string): void {
  const numbersOf = numbering(db);
  db.delete(fleetSlices)
    .where(platformId === undefined ? undefined : eq(fleetSlices.platformId, platformId))
    .run();
  const version = nextVersion(db);
  const cars = db
    .select({ id: vehicles.id })
    .from(vehicles)
    .where(platformId === undefined ? undefined : eq(vehicles.platformId, platformId))
    .all();
  for (const { id } of cars) {
    for (const placed of countShifts(db, { vehicleId: id }, numbersOf)) {
      writeSummary(db, placed, { version, summary: placed.summary });
    }
  }
  numbersOf.keep();
}

/** Counts every shift when a migration left the summaries to be counted. Done once; a crash before the end undoes it. */
export function rebuildStaleSummaries(db: Db): void {
  const state = db.select({ isStale: summaryState.isStale }).from(summaryState).get();
  if (!state?.isStale) return;
  rebuildSummaries(db);
  db.update(summaryState).set({ isStale: false }).run();
}

/** Counts every shift and lists the summaries that say something else, be it a total, a cell or a measure. */
export function findSummaryDifferences(db: Db): SummaryDifference[] {
  const numbersOf = numbering(db);
  const cars = db.all<{ id: string }>(
    sql`SELECT id FROM vehicles UNION SELECT vehicle_id FROM fleet_slices ORDER BY 1`,
  );
  return cars.flatMap(({ id }) => differencesOf(db, id, numbersOf)).sort((a, b) => (a.key < b.key ? -1 : 1));
}

function differencesOf(db: Db, vehicleId: string, numbersOf: (platformId: string) => NameNumbers): SummaryDifference[] {
  const counted = new Map(
    countShifts(db, { vehicleId }, numbersOf).map((placed) => [placeKey(placed), placed.summary]),
  );
  const kept = new Map(
    db
      .select()
      .from(fleetSlices)
      .where(eq(fleetSlices.vehicleId, vehicleId))
      .all()
      .map((row) => [placeKey(row), row]),
  );
  return [...new Set([...kept.keys(), ...counted.keys()])].flatMap((key) => {
    const [row, summary] = [kept.get(key), counted.get(key)];
    const differing = findDiffering(row, summary);
    if (differing.length === 0) return [];
    return [{ key, kept: row ? pickCounts(row) : null, counted: summary ? totalsOf(summary) : null, differing }];
  });
}

type SliceRow = typeof fleetSlices.$inferSelect;

function findDiffering(
  row: SliceRow | undefined,
  summary: Summary | undefined,
): SummaryDifference['differing'][number][] {
  if (!row || !summary) return ['totals', 'outcomes', 'measures'];
  const totals = totalsOf(summary);
  const isSame = {
    totals: Object.entries(pickCounts(row)).every(([name, count]) => totals[name as keyof OutcomeCounts] === count),
    outcomes: decodes(() => sameSlice(decodeSlice(row.outcomes), summary.outcomes)),
    measures: decodes(() => sameMeasures(decodeMeasures(row.measures), summary.measures)),
  };
  return (['totals', 'outcomes', 'measures'] as const).filter((part) => !isSame[part]);
}

/** Damaged bytes are a difference like any other. */
function decodes(isSame: () => boolean): boolean {
  try {
    return isSame();
  } catch (error) {
    if (error instanceof RangeError) return false;
    throw error;
  }
}

function pickCounts(row: SliceRow): OutcomeCounts {
  const { shifts, flare, tieUp, harsh, slow, incomplete, clean } = row;
  const { flareMeasured, tieUpMeasured, harshMeasured, slowMeasured } = row;
  return {
    shifts,
    flare,
    tieUp,
    harsh,
    slow,
    incomplete,
    clean,
    flareMeasured,
    tieUpMeasured,
    harshMeasured,
    slowMeasured,
  };
}

function totalsOf({ outcomes }: Summary): OutcomeCounts {
  return toCounts(sliceTotals(outcomes));
}

/** The numbers of names by platform, with `keep` for those that are new. */
function numbering(db: Db): ((platformId: string) => NameNumbers) & { keep(): void } {
  const byPlatform = new Map<string, NameNumbers>();
  const numbersOf = (platformId: string) => {
    let numbers = byPlatform.get(platformId);
    if (numbers === undefined) byPlatform.set(platformId, (numbers = new NameNumbers(db, platformId)));
    return numbers;
  };
  return Object.assign(numbersOf, {
    keep() {
      for (const numbers of byPlatform.values()) numbers.keep();
    },
  });
}

function nextVersion(db: Db): number {
  const row = db
    .update(summaryState)
    .set({ version: sql`${summaryState.version} + 1` })
    .returning({ version: summaryState.version })
    .get();
  return row.version;
}

function readSummary(db: Db, place: SummaryPlace): Summary | undefined {
  const row = db
    .select({ outcomes: fleetSlices.outcomes, measures: fleetSlices.measures })
    .from(fleetSlices)
    .where(isAt(place))
    .get();
  return row && { outcomes: decodeSlice(row.outcomes), measures: decodeMeasures(row.measures) };
}

/** Puts a summary in its place; one without shifts away. Part of a larger transaction. */
export function writeSummary(
  db: Db,
  place: SummaryPlace,
  { version, summary }: { version: number; summary: Summary },
): void {
  const { outcomes, measures } = summary;
  if (outcomes.keys.length === 0) {
    db.delete(fleetSlices).where(isAt(place)).run();
    return;
  }
  const { platformId, revisionId, vehicleId } = place;
  const row = {
    version,
    ...totalsOf(summary),
    outcomes: Buffer.from(encodeSlice(outcomes)),
    measures: Buffer.from(encodeMeasures(measures)),
  };
  db.insert(fleetSlices)
    .values({ platformId, revisionId, vehicleId, ...row })
    .onConflictDoUpdate({ target: [fleetSlices.platformId, fleetSlices.revisionId, fleetSlices.vehicleId], set: row })
    .run();
}

function isAt({ platformId, revisionId, vehicleId }: SummaryPlace) {
  return and(
    eq(fleetSlices.platformId, platformId),
    eq(fleetSlices.revisionId, revisionId),
    eq(fleetSlices.vehicleId, vehicleId),
  );
}

function add(a: Summary, b: Summary): Summary {
  return { outcomes: addSlices(a.outcomes, b.outcomes), measures: addMeasures(a.measures, b.measures) };
}

function subtract(whole: Summary, part: Summary): Summary {
  return {
    outcomes: subtractSlice(whole.outcomes, part.outcomes),
    measures: subtractMeasures(whole.measures, part.measures),
  };
}

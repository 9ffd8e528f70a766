import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { openStore, type ShiftSort, type Store } from '../src/index.js';
import {
  aClub,
  aContent,
  aLog,
  aProfile,
  aResult,
  aRevision,
  claimFor,
  PLATFORM,
  SYSTEM,
} from '../test/support/builders.js';
import { countingIds } from '../test/support/counting-ids.js';
import { measure, record, report } from './measure.js';
import { randomShift } from './random-shift.js';
import { seededRandom } from './seeded-random.js';

const SHIFTS_PER_LOG = 250;
const VEHICLES = 40;

/** Loads a fleet through the same writes that an analysis uses and asks what the pages ask. */
export async function benchSummaries(): Promise<void> {
  for (const shiftCount of [10_000, 100_000]) {
    const folder = mkdtempSync(join(tmpdir(), 'syncline-bench-'));
    const store = openStore({ folder, clock: Date.now, ids: countingIds() });
    try {
      await benchFleet(store, shiftCount);
    } finally {
      store.close();
      rmSync(folder, { recursive: true });
    }
  }
}

async function benchFleet(store: Store, shiftCount: number): Promise<void> {
  const { maintainer, calibrationId, revisionId } = aClub(store);
  const second = aRevision(store, { calibrationId, parentId: revisionId, content: aContent(2) });
  const vehicles = Array.from({ length: VEHICLES }, (_, i) =>
    store.vehicles.create({ actor: SYSTEM, ownerId: maintainer.id, profile: aProfile({ title: `Car ${i}` }) }),
  );
  const random = seededRandom(11);
  const writeTimes: number[] = [];
  for (let seed = 0; seed < shiftCount / SHIFTS_PER_LOG; seed++) {
    const vehicleId = vehicles[seed % VEHICLES];
    const logId = aLog(store, { vehicleId, seed, revisionId: seed % 3 === 0 ? revisionId : second });
    const shifts = Array.from({ length: SHIFTS_PER_LOG }, () => randomShift(random));
    const result = aResult({ lease: claimFor(store, logId), logId, shifts });
    const began = performance.now();
    store.logs.replaceAnalysis(result);
    writeTimes.push(performance.now() - began);
  }
  writeTimes.sort((a, b) => a - b);
  const name = `${shiftCount} shifts`;
  record(`${name}: a result kept`, { medianMs: writeTimes[writeTimes.length >> 1] });
  console.log(
    `${name}: a result of ${SHIFTS_PER_LOG} shifts is kept in ${writeTimes[writeTimes.length >> 1].toFixed(1)} ms at the median`,
  );
  if (store.read.fleet.overview({}).shifts !== shiftCount) throw new Error('the summaries do not hold every shift');

  const fleet = store.read.fleet;
  const filter = { platformId: PLATFORM.id };
  const reads: [string, () => unknown][] = [
    ['packed outcomes', () => fleet.slices(filter)],
    ['trend', () => fleet.trend(filter)],
    ['vehicles', () => fleet.byVehicle({}, filter)],
    ['coverage', () => fleet.coverage(filter)],
    ['strata by vehicle', () => fleet.strataByVehicle(filter)],
    ['facets', () => store.read.shifts.facets({}, filter)],
    ['facets at 30–45 % load', () => store.read.shifts.facets({}, { ...filter, loadMin: 30, loadMax: 45 })],
    ['distribution of flares', () => store.read.shifts.distribution({}, { ...filter, quantity: 'flareRpm' })],
    ['vehicle list', () => store.read.vehicles.list({}, { limit: 50 })],
    ['log list', () => store.read.logs.list({}, {}, { limit: 50 })],
    ['evidence of one kind under one revision', () => store.read.shifts.evidence({ revisionId, kinds: ['3-4'] })],
    ['verify all summaries', () => store.fleet.verifySummaries()],
  ];
  for (const sort of ['newest', 'flareRpm', 'tieUpDepth'] satisfies ShiftSort[]) {
    reads.push([`shifts by ${sort}`, () => store.read.shifts.list({}, { ...filter, sort }, { limit: 50 })]);
    reads.push([
      `flares of 3-4 at 30–45 % by ${sort}`,
      () =>
        store.read.shifts.list(
          {},
          { ...filter, sort, kind: '3-4', grade: 'flare', loadMin: 30, loadMax: 45 },
          { limit: 50 },
        ),
    ]);
  }
  for (const [what, read] of reads) report(`${name}: ${what}`, await measure(read, 11));
}

import { expect, it } from 'vitest';
import type { Store } from '../../src/index.js';
import {
  aClub,
  aContent,
  aLog,
  aNewShift,
  analyse,
  analysisJob,
  aProfile,
  aRevision,
  SYSTEM,
} from '../support/builders.js';
import { openTestStore } from '../support/test-store.js';

const DAY_MS = 24 * 3600_000;
const DAYS = [1, 2, 3, 4].map((day) => Date.UTC(2026, 0, day, 12));

/** A car with a drive on each of four days and two revisions that it may run; nothing is entered as installed. */
function aCarWithDrives(store: Store) {
  const { maintainer, calibrationId, revisionId } = aClub(store);
  const second = aRevision(store, { calibrationId, parentId: revisionId, content: aContent(2) });
  const vehicleId = store.vehicles.create({ actor: SYSTEM, ownerId: maintainer.id, profile: aProfile() });
  const logIds = DAYS.map((drivenAtMs, seed) => {
    const logId = aLog(store, { vehicleId, seed, drivenAtMs });
    analyse(store, logId, [aNewShift(), aNewShift({ grades: ['flare'] })]);
    return logId;
  });
  return { vehicleId, logIds, revisions: [revisionId, second] as const };
}

function revisionsOf(store: Store, logIds: readonly string[]) {
  return logIds.map((logId) => {
    const ofLog = store.read.logs.find({}, logId)?.revision?.id ?? null;
    const ofShifts = new Set(store.read.shifts.ofLog(logId).map(({ revision }) => revision?.id ?? null));
    expect([...ofShifts]).toEqual([ofLog]);
    return ofLog;
  });
}

it('an installation that is entered late moves the drives since then, with their shifts and summaries', () => {
  const { store } = openTestStore();
  const { vehicleId, logIds, revisions } = aCarWithDrives(store);
  const [first, second] = revisions;
  store.vehicles.install({ actor: SYSTEM, vehicleId, revisionId: first, sinceAtMs: DAYS[1] - DAY_MS / 4 });
  expect(revisionsOf(store, logIds)).toEqual([null, first, first, first]);
  store.vehicles.install({ actor: SYSTEM, vehicleId, revisionId: second, sinceAtMs: DAYS[3] - DAY_MS / 4 });
  expect(revisionsOf(store, logIds)).toEqual([null, first, first, second]);
  // Between the two: what was entered for later stays.
  store.vehicles.install({ actor: SYSTEM, vehicleId, revisionId: second, sinceAtMs: DAYS[2] - DAY_MS / 4 });
  expect(revisionsOf(store, logIds)).toEqual([null, first, second, second]);
  expect(store.fleet.verifySummaries()).toEqual([]);
  expect(store.read.fleet.byRevision([first])).toMatchObject([{ vehicleId, shifts: 2, flare: 1 }]);
  expect(store.read.fleet.byRevision([second])).toMatchObject([{ vehicleId, shifts: 4, flare: 2 }]);
  expect(store.read.audit.list({ limit: 1 }).items[0].detail).toMatch(/1 logs moved to it$/);
});

it('a drive whose sender named another revision than was entered stays with it', () => {
  const { store } = openTestStore();
  const { vehicleId, revisions } = aCarWithDrives(store);
  const [first, second] = revisions;
  store.vehicles.install({ actor: SYSTEM, vehicleId, revisionId: first, sinceAtMs: 0 });
  const named = aLog(store, { vehicleId, seed: 9, drivenAtMs: DAYS[2], revisionId: second });
  analyse(store, named, [aNewShift()]);
  store.vehicles.install({ actor: SYSTEM, vehicleId, revisionId: first, sinceAtMs: DAYS[1] });
  expect(revisionsOf(store, [named])).toEqual([second]);
  expect(store.fleet.verifySummaries()).toEqual([]);
});

it.each(['tyreRadiusM', 'finalDriveRatio', 'ratedInputTorqueNm', 'inputInertiaKgM2'] as const)(
  'a corrected %s queues every drive of the car again',
  (field) => {
    const { store } = openTestStore();
    const { vehicleId, logIds } = aCarWithDrives(store);
    const update = { actor: SYSTEM, vehicleId, jobFor: (id: string) => ({ ...analysisJob(id), isBackground: true }) };
    expect(store.vehicles.update({ ...update, profile: { [field]: 0.3 } })).toEqual(logIds);
    expect(store.read.logs.find({}, logIds[0])).toMatchObject({ state: 'waiting', showsEarlier: true, shiftCount: 2 });
    expect(store.read.jobs.hasUrgent()).toBe(false);
    expect(store.read.jobs.countByState().queued).toBe(logIds.length);
    expect(store.vehicles.update({ ...update, profile: { [field]: 0.3 } })).toEqual([]);
  },
);

it('a change that enters no measure queues nothing', () => {
  const { store } = openTestStore();
  const { vehicleId } = aCarWithDrives(store);
  const profile = { title: 'Red van', massKg: 2500, note: 'new tyres' };
  expect(store.vehicles.update({ actor: SYSTEM, vehicleId, profile, jobFor: analysisJob })).toEqual([]);
  expect(store.read.jobs.countByState().queued).toBe(0);
});

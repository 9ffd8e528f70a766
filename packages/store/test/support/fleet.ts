import type { Grade } from '@syncline/shifts';
import type { NewShift, OutcomeCounts } from '../../src/index.js';
import { aClub, aContent, aLog, aProfile, aRevision, SYSTEM } from './builders.js';
import { openTestStore } from './test-store.js';

/** Four logs: two of one car under one revision, one of it under another, one of another car under none. */
export function aFleet() {
  const test = openTestStore();
  const { store } = test;
  const { maintainer, calibrationId, revisionId } = aClub(store);
  const second = aRevision(store, { calibrationId, parentId: revisionId, content: aContent(2) });
  const [a, b] = ['A', 'B'].map((title) =>
    store.vehicles.create({ actor: SYSTEM, ownerId: maintainer.id, profile: aProfile({ title }) }),
  );
  const logs = [
    { id: aLog(store, { vehicleId: a, seed: 0, revisionId }), vehicleId: a, revisionId },
    { id: aLog(store, { vehicleId: a, seed: 1, revisionId }), vehicleId: a, revisionId },
    { id: aLog(store, { vehicleId: a, seed: 2, revisionId: second }), vehicleId: a, revisionId: second },
    { id: aLog(store, { vehicleId: b, seed: 3 }), vehicleId: b, revisionId: null },
  ];
  // The queue is emptied, so that each step below finds only its own job.
  for (const _ of logs) {
    const claimed = store.jobs.claim({ leaseOwner: 'first', leaseMs: 1000 });
    if (claimed) store.jobs.complete(claimed.lease);
  }
  return { ...test, logs, vehicles: [a, b], revisions: [revisionId, second] };
}

export function countOf(shifts: readonly NewShift[]): OutcomeCounts {
  const having = (grade: Grade) => shifts.filter((shift) => shift.grades.includes(grade)).length;
  const known = (measure: 'tieUpDepth' | 'peakJerk' | 'inertiaTimeS') =>
    shifts.filter(({ shift }) => shift.measures[measure] !== null).length;
  return {
    shifts: shifts.length,
    flare: having('flare'),
    tieUp: having('tie-up'),
    harsh: having('harsh'),
    slow: having('slow'),
    incomplete: having('incomplete'),
    clean: having('clean'),
    flareMeasured: shifts.filter(({ shift, grades: given }) => shift.inertiaStartS !== null || given.includes('flare'))
      .length,
    tieUpMeasured: known('tieUpDepth'),
    harshMeasured: known('peakJerk'),
    slowMeasured: known('inertiaTimeS'),
  };
}

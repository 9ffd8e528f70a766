import { expect, it } from 'vitest';
import type { Store } from '../../src/index.js';
import {
  aBlob,
  aClub,
  aContent,
  analysisJob,
  aProfile,
  aSession,
  LAYOUT,
  PLATFORM,
  POLICY,
  SYSTEM,
} from '../support/builders.js';
import { openTestStore } from '../support/test-store.js';

type Club = ReturnType<typeof aClub> & { vehicleId: string; logId: string };
const actor = { kind: 'person', id: 'p', name: 'Samphire', requestId: 'request-7' } as const;

/** Every audited write, done once. */
const WRITES: [string, (store: Store, club: Club) => unknown][] = [
  [
    'session.start',
    (store, { maintainer }) => store.people.signIn({ actor, personId: maintainer.id, session: aSession('n') }),
  ],
  ['session.end', (store) => store.people.signOut({ actor, tokenHash: 'maintainer-token' })],
  [
    'person.invite',
    (store) => store.people.invite({ actor, role: 'tester', note: '', secretHash: 's', expiresAtMs: 9e15 }),
  ],
  [
    'platform.create',
    (store) => store.platforms.create({ actor, platform: { ...PLATFORM, id: 'two' }, policy: POLICY }),
  ],
  ['platform.addLayout', (store) => store.platforms.addLayout({ actor, layout: { ...LAYOUT, version: 2 } })],
  ['platform.addPolicy', (store) => store.platforms.addPolicy({ actor, platformId: PLATFORM.id, policy: POLICY })],
  [
    'calibration.create',
    (store) => store.calibrations.create({ actor, title: 'Town', platformId: PLATFORM.id, note: '' }),
  ],
  [
    'revision.create',
    (store, { calibrationId, maintainer }) =>
      store.calibrations.createRevision({
        actor: { ...actor, id: maintainer.id },
        calibrationId,
        parentId: null,
        message: 'm',
        layoutVersion: 1,
        canonicalJson: JSON.stringify(aContent(7)),
      }),
  ],
  [
    'vehicle.create',
    (store, { maintainer }) => store.vehicles.create({ actor, ownerId: maintainer.id, profile: aProfile() }),
  ],
  [
    'vehicle.update',
    (store, { vehicleId }) =>
      store.vehicles.update({ actor, vehicleId, profile: { title: 'Red' }, jobFor: analysisJob }),
  ],
  [
    'vehicle.install',
    (store, { vehicleId, revisionId }) => store.vehicles.install({ actor, vehicleId, revisionId, sinceAtMs: 1 }),
  ],
  [
    'vehicle.observe',
    (store, { vehicleId }) =>
      store.vehicles.observe({ actor, vehicleId, dialect: 'north', source: 'capture', note: 'seen' }),
  ],
  [
    'vehicle.setSignalMap',
    (store, { vehicleId }) =>
      store.vehicles.setSignalMap({
        actor,
        vehicleId,
        format: 'csv',
        map: { time: { column: 't', format: 'seconds' }, signals: [] },
        jobFor: analysisJob,
      }),
  ],
  [
    'vehicle.decideDialect',
    (store, { vehicleId }) =>
      store.vehicles.decideDialect({ actor, vehicleId, decision: 'refuse', reason: 'another bus' }),
  ],
  [
    'dialect.add',
    (store) => store.dialects.add({ actor, platformId: PLATFORM.id, dialect: { id: 'south', title: 'South' } }),
  ],
  [
    'dialect.setSignals',
    (store) =>
      store.dialects.addSignalList({
        actor,
        platformId: PLATFORM.id,
        dialectId: 'north',
        signals: [],
        jobFor: analysisJob,
      }),
  ],
  [
    'dialect.setProfile',
    (store) =>
      store.dialects.addProfile({
        actor,
        platformId: PLATFORM.id,
        profile: { dialect: 'north', captureCount: 0, identifiers: [] },
        captureIds: [],
        jobFor: (version) => ({ kind: 'recheck', inputKey: `${version}` }),
      }),
  ],
  [
    'log.add',
    (store, { vehicleId }) =>
      store.logs.add({
        actor,
        vehicleId,
        fileName: 'a.csv',
        drivenAtMs: 1,
        blob: aBlob(9),
        jobFor: analysisJob,
      }),
  ],
  ['log.requeue', (store, { logId }) => store.logs.requeue({ actor, logId, job: analysisJob(logId) })],
  [
    'log.addNote',
    (store, { logId, maintainer }) =>
      store.logs.addNote({ actor: { ...actor, id: maintainer.id }, logId, atS: 3, text: 'hard' }),
  ],
  [
    'analysisRun.begin',
    (store) =>
      store.analysisRuns.begin({
        actor,
        platformId: PLATFORM.id,
        reason: 'asked',
        analysisVersion: 1,
        policyVersion: 1,
        jobFor: () => null,
      }),
  ],
];

it.each(WRITES)('%s writes one entry that says who and for which request', (action, write) => {
  const { store } = openTestStore();
  const club = aClub(store);
  const vehicleId = store.vehicles.create({ actor: SYSTEM, ownerId: club.maintainer.id, profile: aProfile() });
  const { logId } = store.logs.add({
    actor: SYSTEM,
    vehicleId,
    fileName: 'b.csv',
    drivenAtMs: 2,
    blob: aBlob(1),
    jobFor: analysisJob,
  });
  const before = store.read.audit.list({ limit: 1 }).totalCount;
  write(store, { ...club, vehicleId, logId });
  const after = store.read.audit.list({ limit: 1 });
  expect(after.totalCount).toBe(before + 1);
  expect(after.items[0]).toMatchObject({
    action,
    actorKind: 'person',
    actorName: 'Samphire',
    requestId: 'request-7',
  });
});

it('a write that fails leaves no entry', () => {
  const { store } = openTestStore();
  aClub(store);
  const before = store.read.audit.list({ limit: 1 }).totalCount;
  expect(() => store.platforms.addLayout({ actor, layout: LAYOUT })).toThrow(
    expect.objectContaining({ code: 'exists' }),
  );
  expect(store.read.audit.list({ limit: 1 }).totalCount).toBe(before);
});

import type { BusSignal, DialectProfile } from '@syncline/drivelog';
import { expect, it } from 'vitest';
import { aClub, aLog, analysisJob, aProfile, claimFor, PLATFORM, SYSTEM } from '../support/builders.js';
import { openTestStore } from '../support/test-store.js';

const SIGNAL: BusSignal = {
  name: 'turbine',
  identifier: 0x1a0,
  startBit: 0,
  length: 16,
  byteOrder: 'little',
  signed: false,
  scale: 0.25,
  offset: 0,
  unit: 'rpm',
};
const PROFILE: DialectProfile = { dialect: 'north', captureCount: 1, identifiers: [] };
const NORTH = { actor: SYSTEM, platformId: PLATFORM.id, dialectId: 'north' };
const recheck = (version: number) => ({ kind: 'recheck', inputKey: `${version}` });

it('versions of signal lists and profiles rise, and the newest is found', () => {
  const { store } = openTestStore();
  aClub(store);
  expect(store.read.dialects.findSignalList(PLATFORM.id, 'north')).toBeUndefined();
  store.dialects.addSignalList({ ...NORTH, signals: [], jobFor: analysisJob });
  store.dialects.addSignalList({ ...NORTH, signals: [SIGNAL], jobFor: analysisJob });
  expect(store.read.dialects.findSignalList(PLATFORM.id, 'north')).toMatchObject({ version: 2, signals: [SIGNAL] });
  expect(store.read.dialects.signalListVersions(PLATFORM.id)).toEqual({ north: 2 });
  const addProfile = (captureIds: string[]) =>
    store.dialects.addProfile({ ...NORTH, profile: PROFILE, captureIds, jobFor: recheck });
  addProfile([]);
  addProfile(['log-1']);
  expect(store.read.dialects.findProfile(PLATFORM.id, 'north')).toMatchObject({ version: 2, captureIds: ['log-1'] });
  expect(store.read.dialects.listProfiles(PLATFORM.id)).toHaveLength(1);
  expect(store.read.jobs.countByState().queued).toBe(2);
});

it('a list of a dialect that the platform does not have is refused, until the dialect is added', () => {
  const { store } = openTestStore();
  aClub(store);
  const add = () => store.dialects.addSignalList({ ...NORTH, dialectId: 'south', signals: [], jobFor: analysisJob });
  expect(add).toThrow(expect.objectContaining({ code: 'not_found' }));
  const dialect = { id: 'south', title: 'South' };
  store.dialects.add({ actor: SYSTEM, platformId: PLATFORM.id, dialect });
  expect(add()).toEqual([]);
  expect(store.read.platforms.find(PLATFORM.id)?.platform.dialects).toEqual([...PLATFORM.dialects, dialect]);
  expect(() => store.dialects.add({ actor: SYSTEM, platformId: PLATFORM.id, dialect })).toThrow(
    expect.objectContaining({ code: 'exists' }),
  );
});

it('a new list queues the captures that wait for one, and no other logs', () => {
  const { store } = openTestStore();
  const { maintainer } = aClub(store);
  const vehicleId = store.vehicles.create({ actor: SYSTEM, ownerId: maintainer.id, profile: aProfile() });
  const inspection = {
    format: 'candump' as const,
    delimiter: null,
    decimalMark: null,
    columns: [],
    firstRows: [],
    suggestion: null,
    reasons: [],
  };
  const wait = (logId: string) =>
    store.logs.awaitMap({ lease: claimFor(store, logId), logId, inspection, problem: null });
  const capture = aLog(store, { vehicleId, seed: 1 });
  store.captures.keep({
    logId: capture,
    traffics: [],
    check: {
      busInterface: null,
      frames: 0,
      durationS: 0,
      identifierCount: 0,
      observed: null,
      doubt: 'too_little',
      reason: 'nothing',
      margin: null,
      scores: [],
    },
  });
  wait(capture);
  wait(aLog(store, { vehicleId, seed: 2 }));
  expect(store.dialects.addSignalList({ ...NORTH, signals: [SIGNAL], jobFor: analysisJob })).toEqual([capture]);
  expect(store.read.logs.find({}, capture)?.state).toBe('waiting');
});

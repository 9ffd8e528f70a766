import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { connectForWriting } from '../../src/database/connect.js';
import type { Actor, NewShift, RequestedDrive, Store } from '../../src/index.js';
import {
  aClub,
  aLog,
  aNewShift,
  analyse,
  aProfile,
  aResult,
  aShift,
  aTester,
  claimFor,
  PLATFORM,
  SYSTEM,
} from '../support/builders.js';
import { openTestStore } from '../support/test-store.js';

const refusal = (code: string) => expect.objectContaining({ code });

const DRIVE: RequestedDrive = {
  platformId: PLATFORM.id,
  revisionId: null,
  kind: '1-2',
  loadBand: 2,
  fluidTemperatureBand: 3,
  program: null,
  wantedShifts: 12,
  wantedVehicles: 2,
  words: 'first to second at about half load',
  reason: {
    shifts: 3,
    vehicles: 1,
    missingDialects: ['south'],
    rate: 0.08,
    widthNow: 0.4,
    widthAfter: 0.3,
    usageShare: 0.02,
    probabilityAbove: 0.6,
    gain: 0.0012,
  },
};

/** Two cars of two testers, both asked. */
function anAsking(change: Partial<RequestedDrive> = {}) {
  const test = openTestStore();
  const { store, clock } = test;
  const { revisionId } = aClub(store);
  const [thrift, campion] = [aTester(store, 'Thrift'), aTester(store, 'Campion')];
  const [van, pickUp] = [
    store.vehicles.create({ actor: SYSTEM, ownerId: thrift, profile: aProfile({ title: 'van' }) }),
    store.vehicles.create({ actor: SYSTEM, ownerId: campion, profile: aProfile({ title: 'Pick-up' }) }),
  ];
  const requestId = store.requests.send({
    actor: SYSTEM,
    drive: { ...DRIVE, ...change },
    vehicleIds: [van, pickUp],
    expiresAtMs: clock.nowMs + 1e9,
  });
  const answering: Actor = { kind: 'person', id: thrift, name: 'Thrift', requestId: 'request-9' };
  return { ...test, revisionId, thrift, campion, van, pickUp, requestId, answering };
}

/** A drive that is uploaded now. */
function driven(
  store: Store,
  vehicleId: string,
  seed: number,
  shifts: readonly NewShift[],
  revisionId?: string,
): string {
  const logId = aLog(store, { vehicleId, seed, ...(revisionId && { revisionId }) });
  store.logs.replaceAnalysis(aResult({ lease: claimFor(store, logId), logId, shifts }));
  return logId;
}

const asWanted = (change: Partial<NewShift> = {}) =>
  aNewShift({ bands: { load: 2, speed: 1, temperature: 3 }, ...change });
const brought = (store: Store, requestId: string) => store.read.requests.find({}, requestId)?.brought;

describe('a drive request', () => {
  it('is seen by the testers whose cars it asks, each with none but her own cars', () => {
    const { store, requestId, thrift, van } = anAsking();
    const other = aTester(store, 'Orache');
    expect(store.read.requests.find({}, requestId)).toMatchObject({
      ...withoutRevision(DRIVE),
      state: 'open',
      revision: null,
      platformTitle: PLATFORM.title,
      cars: [
        { title: 'Pick-up', state: 'asked' },
        { title: 'van', state: 'asked' },
      ],
    });
    expect(store.read.requests.list({ ownerId: thrift }, {}, { limit: 5 })).toMatchObject({
      totalCount: 1,
      items: [{ id: requestId, cars: [{ vehicleId: van }] }],
    });
    expect(store.read.requests.list({ ownerId: other }, {}, { limit: 5 }).items).toEqual([]);
    expect(store.read.requests.find({ ownerId: other }, requestId)).toBeUndefined();
  });

  it('comes in pages, newest first, narrowed by state', () => {
    const { store, requestId, van } = anAsking();
    const [second, third] = [1, 2].map(() =>
      store.requests.send({ actor: SYSTEM, drive: DRIVE, vehicleIds: [van], expiresAtMs: 9e15 }),
    );
    store.requests.close({ actor: SYSTEM, requestId: second, state: 'withdrawn', note: '' });
    const page = store.read.requests.list({}, {}, { limit: 2 });
    expect(page).toMatchObject({ totalCount: 3, items: [{ id: third }, { id: second }] });
    const rest = store.read.requests.list({}, {}, { limit: 2, cursor: page.nextCursor ?? '' });
    expect(rest).toMatchObject({ nextCursor: null, items: [{ id: requestId }] });
    const open = store.read.requests.list({}, { state: 'open', platformId: PLATFORM.id }, { limit: 5 });
    expect(open.items.map(({ id }) => id)).toEqual([third, requestId]);
    expect(store.read.requests.listOpen().map(({ id }) => id)).toEqual([requestId, third]);
  });

  it('counts the shifts of its point that came in since, of any car', () => {
    const { store, clock, requestId, van, pickUp } = anAsking();
    driven(store, van, 1, [asWanted()]);
    expect(brought(store, requestId)).toEqual([]);
    clock.nowMs += 1000;
    driven(store, van, 2, [
      asWanted(),
      asWanted(),
      asWanted({ shift: aShift({ kind: '2-1', from: 2, to: 1 }) }),
      asWanted({ bands: { load: 3, speed: 1, temperature: 3 } }),
      asWanted({ bands: { load: 2, speed: 1, temperature: 2 } }),
      // Cut off before its inertia phase: whether it flared cannot be told.
      asWanted({ shift: aShift({ inertiaStartS: null }) }),
    ]);
    const logId = driven(store, pickUp, 3, [asWanted()]);
    expect(brought(store, requestId)).toEqual([
      { vehicleId: van, shifts: 2 },
      { vehicleId: pickUp, shifts: 1 },
    ]);
    analyse(store, logId, [asWanted(), asWanted(), asWanted()]);
    expect(brought(store, requestId)).toContainEqual({ vehicleId: pickUp, shifts: 3 });
  });

  it.each([
    ['a program', { program: 'calm' }, [asWanted(), asWanted({ program: null })], undefined],
    ['a revision', 'ofTheRevision', [asWanted()], [asWanted(), asWanted()]],
  ] as const)('for %s counts no shifts of another', (_what, change, counted, others) => {
    const found = anAsking(change === 'ofTheRevision' ? {} : change);
    const { store, clock, van, revisionId } = found;
    let { requestId } = found;
    if (change === 'ofTheRevision') {
      const drive = { ...DRIVE, revisionId };
      requestId = store.requests.send({ actor: SYSTEM, drive, vehicleIds: [van], expiresAtMs: 9e15 });
    }
    clock.nowMs += 1000;
    driven(store, van, 1, counted, revisionId);
    if (others) driven(store, van, 2, others);
    expect(brought(store, requestId)).toEqual([{ vehicleId: van, shifts: 1 }]);
  });

  it('keeps what was brought once it is closed, whatever comes in later', () => {
    const { store, clock, requestId, van, pickUp } = anAsking();
    clock.nowMs += 1000;
    driven(store, van, 1, [asWanted()]);
    store.requests.noteMet(requestId, van);
    store.requests.close({ actor: SYSTEM, requestId, state: 'met', note: '' });
    driven(store, pickUp, 2, [asWanted()]);
    expect(store.read.requests.find({}, requestId)).toMatchObject({
      state: 'met',
      closedAtMs: clock.nowMs,
      brought: [{ vehicleId: van, shifts: 1 }],
      cars: [{ state: 'asked' }, { title: 'van', state: 'met' }],
    });
  });

  it('is declined for a car by its owner alone, and taken up again', () => {
    const { store, requestId, thrift, campion, van, answering } = anAsking();
    const answer = { actor: answering, scope: { ownerId: thrift }, requestId, vehicleId: van } as const;
    store.requests.answer({ ...answer, state: 'declined', reason: 'gearbox is out' });
    const carOf = () => store.read.requests.find({}, requestId)?.cars.find(({ vehicleId }) => vehicleId === van);
    expect(carOf()).toMatchObject({ state: 'declined', reason: 'gearbox is out' });
    expect(openOf(store, van)).toBe(0);
    store.requests.answer({ ...answer, state: 'asked', reason: '' });
    expect(carOf()).toMatchObject({ state: 'asked', reason: '' });
    expect(openOf(store, van)).toBe(1);
    const foreign = { ...answer, scope: { ownerId: campion }, state: 'declined', reason: '' } as const;
    expect(() => store.requests.answer(foreign)).toThrow(refusal('not_found'));
    const actions = store.read.audit.list({ limit: 3 }).items.map(({ action }) => action);
    expect(actions).toEqual(['request.accept', 'request.decline', 'request.send']);
  });

  it('takes no answer and no other end once it is closed, by code and by trigger', () => {
    const { store, folder, requestId, thrift, van, answering } = anAsking();
    store.requests.close({ actor: SYSTEM, requestId, state: 'withdrawn', note: 'enough' });
    const closed = refusal('request_closed');
    expect(() => store.requests.close({ actor: SYSTEM, requestId, state: 'met', note: '' })).toThrow(closed);
    const answer = { actor: answering, scope: { ownerId: thrift }, requestId, vehicleId: van, reason: '' };
    expect(() => store.requests.answer({ ...answer, state: 'declined' })).toThrow(closed);
    expect(() => store.requests.close({ actor: SYSTEM, requestId: 'none', state: 'met', note: '' })).toThrow(
      refusal('not_found'),
    );
    const sqlite = connectForWriting(join(folder, 'syncline.db'));
    expect(() => sqlite.exec("UPDATE drive_requests SET state = 'open'")).toThrow('never changed');
    expect(() => sqlite.exec('UPDATE drive_requests SET wanted_shifts = 1')).toThrow('never changed');
    expect(() => sqlite.exec('DELETE FROM drive_requests')).toThrow('never removed');
    sqlite.close();
  });

  it('asks only cars and a revision of its platform', () => {
    const { store, van, thrift } = anAsking();
    store.platforms.create({
      actor: SYSTEM,
      platform: { ...PLATFORM, id: 'other' },
      policy: {
        programs: store.read.platforms.findPolicy(PLATFORM.id)?.programs ?? { default: {} as never },
        incompleteAfterS: 2.5,
        valveOnLimitS: 3,
        lockUpLimitS: 4,
      },
    });
    const stranger = store.vehicles.create({
      actor: SYSTEM,
      ownerId: thrift,
      profile: aProfile({ platformId: 'other' }),
    });
    const send = (vehicleIds: string[], change: Partial<RequestedDrive> = {}) =>
      store.requests.send({ actor: SYSTEM, drive: { ...DRIVE, ...change }, vehicleIds, expiresAtMs: 9e15 });
    expect(() => send([van, stranger])).toThrow(refusal('request_other_platform'));
    expect(() => send([van], { platformId: 'none' })).toThrow(refusal('not_found'));
    expect(() => send([van], { revisionId: 'none' })).toThrow(refusal('not_found'));
    expect(() => send(['none'])).toThrow(refusal('not_found'));
    expect(store.read.requests.listOpen()).toHaveLength(1);
  });
});

describe('cars that can be asked', () => {
  it('come with dialect, revision, last drive and open requests', () => {
    const { store, clock, van, revisionId } = anAsking();
    store.vehicles.observe({ actor: SYSTEM, vehicleId: van, dialect: 'north', source: 'capture', note: '' });
    store.vehicles.install({ actor: SYSTEM, vehicleId: van, revisionId, sinceAtMs: clock.nowMs - 10 });
    aLog(store, { vehicleId: van, seed: 1, drivenAtMs: 500 });
    expect(store.read.requests.cars({ platformId: PLATFORM.id })).toMatchObject([
      { title: 'Pick-up', dialectVerdict: 'unknown', isDialectCleared: false, revision: null, lastDrivenAtMs: null },
      {
        title: 'van',
        ownerName: 'Thrift',
        observedDialect: 'north',
        isDialectCleared: true,
        revision: { id: revisionId },
        lastDrivenAtMs: 500,
        openRequests: 1,
      },
    ]);
    expect(store.read.requests.cars({ platformId: 'none' })).toEqual([]);
    expect(store.read.requests.cars({})).toHaveLength(2);
  });
});

function openOf(store: Store, vehicleId: string): number | undefined {
  return store.read.requests.cars({}).find((car) => car.vehicleId === vehicleId)?.openRequests;
}

function withoutRevision({ revisionId: _revisionId, ...drive }: RequestedDrive) {
  return drive;
}

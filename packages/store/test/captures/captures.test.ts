import type { BusTraffic } from '@syncline/drivelog';
import { describe, expect, it } from 'vitest';
import type { CaptureCheck, Store } from '../../src/index.js';
import { aClub, aLog, analysisJob, aProfile, SYSTEM } from '../support/builders.js';
import { openTestStore, START_MS } from '../support/test-store.js';

const TRAFFIC: BusTraffic = {
  busInterface: 'can0',
  frames: 3000,
  durationS: 30,
  identifiers: [
    { identifier: 0x1a0, isExtended: false, frames: 3000, periodS: 0.01, spread: 0.02, usualLength: 8, lengths: [8] },
  ],
  uncountedFrames: 0,
};

function aCheck(overrides: Partial<CaptureCheck> = {}): CaptureCheck {
  return {
    busInterface: 'can0',
    frames: 3000,
    durationS: 30,
    identifierCount: 1,
    observed: 'north',
    doubt: null,
    reason: '20 of 20 identifiers agree with north',
    margin: 80,
    scores: [],
    ...overrides,
  };
}

/** A car that declares `north`, and a capture of it that was uploaded a minute later. */
function aCapturedCar() {
  const { store, clock } = openTestStore();
  const { maintainer } = aClub(store);
  const vehicleId = store.vehicles.create({ actor: SYSTEM, ownerId: maintainer.id, profile: aProfile() });
  clock.nowMs += 60_000;
  return { store, clock, vehicleId, logId: aLog(store, { vehicleId, seed: 1 }) };
}

const update = (store: Store, vehicleId: string, declaredDialect: string | null) =>
  store.vehicles.update({ actor: SYSTEM, vehicleId, profile: { declaredDialect }, jobFor: analysisJob });
const keep = (store: Store, logId: string, check: Partial<CaptureCheck> = {}) =>
  store.captures.keep({ logId, traffics: [TRAFFIC], check: aCheck(check) });
const find = (store: Store, vehicleId: string) => store.read.vehicles.find({}, vehicleId);

describe('a capture', () => {
  it('becomes an observation of its car, dated by its upload, and one only however often it is checked', () => {
    const { store, clock, vehicleId, logId } = aCapturedCar();
    clock.nowMs += 5000;
    keep(store, logId);
    keep(store, logId);
    store.captures.recheck({ logId, check: aCheck({ reason: 'again' }) });
    const car = find(store, vehicleId);
    expect(car).toMatchObject({ dialectVerdict: 'confirmed', isDialectCleared: true, observedDialect: 'north' });
    expect(car?.observations).toMatchObject([
      { dialect: 'north', source: 'capture', note: 'again', observedAtMs: START_MS + 60_000, declaredDialect: 'north' },
    ]);
    expect(store.read.captures.ofVehicle(vehicleId, 10)).toMatchObject([
      { logId, verdict: 'confirmed', checkedAtMs: clock.nowMs, reason: 'again', declaredDialect: 'north' },
    ]);
  });

  it.each(['too_little', 'none_known', 'fit_alike'] as const)(
    'that is in doubt (%s) says nothing of its car',
    (doubt) => {
      const { store, vehicleId, logId } = aCapturedCar();
      store.vehicles.observe({ actor: SYSTEM, vehicleId, dialect: 'north', source: 'inspection', note: 'looked' });
      keep(store, logId, { observed: null, doubt });
      expect(find(store, vehicleId)?.observations).toHaveLength(1);
      expect(find(store, vehicleId)?.dialectVerdict).toBe('confirmed');
    },
  );

  const scoreOf = (dialect: string) => ({
    dialect,
    profileVersion: 1,
    logLikelihood: -900,
    matched: 2,
    agreement: 0.1,
    disagreementCount: 18,
    disagreements: [],
  });

  it('that not even the declared dialect fits makes its car unknown, also when it was confirmed before', () => {
    const { store, vehicleId, logId } = aCapturedCar();
    store.vehicles.observe({ actor: SYSTEM, vehicleId, dialect: 'north', source: 'inspection', note: 'looked' });
    expect(find(store, vehicleId)?.dialectVerdict).toBe('confirmed');
    keep(store, logId, { observed: null, doubt: 'no_fit', scores: [scoreOf('south'), scoreOf('north')] });
    expect(find(store, vehicleId)).toMatchObject({ dialectVerdict: 'unknown', isDialectCleared: false });
  });

  it('that fits none of the known dialects says nothing while the declared one is not known yet', () => {
    const { store, vehicleId, logId } = aCapturedCar();
    store.vehicles.observe({ actor: SYSTEM, vehicleId, dialect: 'north', source: 'inspection', note: 'looked' });
    keep(store, logId, { observed: null, doubt: 'no_fit', scores: [scoreOf('south')] });
    expect(find(store, vehicleId)?.dialectVerdict).toBe('confirmed');
  });

  it('that told a dialect and no longer does, checked again, makes its car unknown', () => {
    const { store, vehicleId, logId } = aCapturedCar();
    keep(store, logId);
    store.captures.recheck({ logId, check: aCheck({ observed: null, doubt: 'fit_alike', reason: 'two fit alike' }) });
    expect(find(store, vehicleId)).toMatchObject({ dialectVerdict: 'unknown', isDialectCleared: false });
  });

  it('of an older upload does not outweigh a newer one that was checked before it', () => {
    const { store, clock, vehicleId, logId } = aCapturedCar();
    clock.nowMs += 60_000;
    const newer = aLog(store, { vehicleId, seed: 2 });
    keep(store, newer, { observed: 'south' });
    keep(store, logId, { observed: 'north' });
    expect(find(store, vehicleId)).toMatchObject({ observedDialect: 'south', dialectVerdict: 'contradicted' });
  });

  it('is found for learning with its traffic, and listed with its platform', () => {
    const { store, vehicleId, logId } = aCapturedCar();
    keep(store, logId);
    const platformId = find(store, vehicleId)?.platformId as string;
    expect(store.read.captures.findLearnable(logId)).toMatchObject({ vehicleId, platformId, traffics: [TRAFFIC] });
    expect(store.read.captures.listOfPlatform({}, platformId, 5)).toMatchObject([{ logId, verdict: 'confirmed' }]);
    expect(store.read.captures.listOfPlatform({ ownerId: 'someone else' }, platformId, 5)).toEqual([]);
    expect(store.read.captures.listNewest(platformId)).toEqual([logId]);
  });
});

describe('a declaration', () => {
  it('that is changed to what was observed confirms nothing; changed back, it is what was held against it', () => {
    const { store, vehicleId, logId } = aCapturedCar();
    keep(store, logId, { observed: 'south' });
    expect(find(store, vehicleId)?.dialectVerdict).toBe('contradicted');
    update(store, vehicleId, 'south');
    expect(find(store, vehicleId)).toMatchObject({ dialectVerdict: 'unknown', isDialectCleared: false });
    store.captures.recheck({ logId, check: aCheck({ observed: 'south' }) });
    expect(find(store, vehicleId)?.dialectVerdict).toBe('unknown');
    update(store, vehicleId, 'north');
    expect(find(store, vehicleId)?.dialectVerdict).toBe('contradicted');
  });

  it('is confirmed by a capture that comes after it', () => {
    const { store, clock, vehicleId, logId } = aCapturedCar();
    keep(store, logId, { observed: 'south' });
    update(store, vehicleId, 'south');
    clock.nowMs += 60_000;
    keep(store, aLog(store, { vehicleId, seed: 2 }), { observed: 'south' });
    expect(find(store, vehicleId)).toMatchObject({ dialectVerdict: 'confirmed', isDialectCleared: true });
  });
});

describe('a decision on a car that is not confirmed', () => {
  const decide = (store: Store, vehicleId: string, decision: 'accept' | 'refuse') =>
    store.vehicles.decideDialect({ actor: SYSTEM, vehicleId, decision, reason: 'seen on the bench' });

  it('holds for the pair that it was made on, and lapses for good when that changes', () => {
    const { store, clock, vehicleId, logId } = aCapturedCar();
    keep(store, logId, { observed: 'south' });
    decide(store, vehicleId, 'accept');
    expect(find(store, vehicleId)).toMatchObject({ dialectVerdict: 'contradicted', isDialectCleared: true });
    keep(store, logId, { observed: 'south', reason: 'the same again' });
    expect(find(store, vehicleId)?.isDialectCleared).toBe(true);
    clock.nowMs += 1000;
    update(store, vehicleId, null);
    update(store, vehicleId, 'north');
    expect(find(store, vehicleId)).toMatchObject({ dialectVerdict: 'contradicted', isDialectCleared: false });
    expect(find(store, vehicleId)?.decisions).toMatchObject([
      { decision: 'accept', declaredDialect: 'north', observedDialect: 'south', lapsedAtMs: clock.nowMs },
    ]);
  });

  it('lapses when another dialect is observed', () => {
    const { store, vehicleId, logId } = aCapturedCar();
    decide(store, vehicleId, 'accept');
    expect(find(store, vehicleId)?.isDialectCleared).toBe(true);
    keep(store, logId, { observed: 'south' });
    expect(find(store, vehicleId)?.isDialectCleared).toBe(false);
  });

  it('takes the place of the one before', () => {
    const { store, vehicleId } = aCapturedCar();
    decide(store, vehicleId, 'accept');
    decide(store, vehicleId, 'refuse');
    expect(find(store, vehicleId)).toMatchObject({ isDialectCleared: false });
    expect(find(store, vehicleId)?.decisions.map(({ lapsedAtMs }) => lapsedAtMs === null)).toEqual([true, false]);
  });
});

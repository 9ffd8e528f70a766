import { GATE_REASONS, type GateReason } from '@syncline/contract';
import type { ReleasableCar } from '@syncline/store';
import { describe, expect, it } from 'vitest';
import { carRuns } from '../src/services/releases/car-runs.js';
import { isAskedFor } from '../src/services/releases/cohort.js';
import { type GatedOffer, type GatedRevision, gate } from '../src/services/releases/gate.js';

const REVISION: GatedRevision = { label: 'Shore r2', platformId: 'skua', layoutVersion: 1, isApproved: true };
const OFFER = { kind: 'release', state: 'running', isTakenIn: true, hardware: [] as string[], reason: '' } as const;
const INSTALLED = {
  revision: { id: 'r1', calibrationTitle: 'Shore', number: 1 },
  contentHash: 'a'.repeat(64),
  layoutVersion: 1,
  sinceAtMs: 1000,
};
const UNIT = { id: 'u', serial: 'CU-1', hardware: 'B', firmware: '1.2', layoutVersion: null };

function aCar(change: Partial<ReleasableCar> = {}): ReleasableCar {
  return {
    vehicleId: 'car',
    title: 'Camper van',
    ownerId: 'thrift',
    ownerName: 'Thrift',
    ownerEmail: 'thrift@club.test',
    platformId: 'skua',
    engine: '2.0 Diesel',
    tags: ['towing'],
    dialectVerdict: 'confirmed',
    isDialectCleared: true,
    dialect: 'sand',
    installed: INSTALLED,
    stated: null,
    unit: null,
    ...change,
  };
}

interface GateCase {
  readonly car?: Partial<ReleasableCar>;
  readonly revision?: Partial<GatedRevision>;
  readonly offer?: GatedOffer;
  readonly layouts?: readonly number[];
  readonly codes: readonly GateReason['code'][];
}

const offered = (change: object): GatedOffer => ({ ...OFFER, ...change });

/** What is different from a car that may have the revision, and the reasons that follow. */
const CASES: Readonly<Record<string, GateCase>> = {
  'nothing is against it': { codes: [] },
  'the gearbox is another': { car: { platformId: 'tern6' }, codes: ['otherPlatform'] },
  'the layout is another than that of what it runs': { revision: { layoutVersion: 2 }, codes: ['otherLayout'] },
  'the firmware of its unit takes another layout': {
    car: { unit: { ...UNIT, layoutVersion: 2 } },
    codes: ['otherLayout'],
  },
  'the firmware of its unit takes the layout, whatever ran before': {
    car: { unit: { ...UNIT, layoutVersion: 2 } },
    revision: { layoutVersion: 2 },
    codes: [],
  },
  'nobody knows what it runs, and there are two layouts': {
    car: { installed: null },
    layouts: [1, 2],
    codes: ['layoutUnknown'],
  },
  'nobody knows what it runs, and there is one layout': { car: { installed: null }, layouts: [1], codes: [] },
  'the dialect is declared only': {
    car: { isDialectCleared: false, dialectVerdict: 'unknown' },
    codes: ['dialectNotCleared'],
  },
  'the dialect is contradicted': {
    car: { isDialectCleared: false, dialectVerdict: 'contradicted' },
    codes: ['dialectNotCleared'],
  },
  'a maintainer has refused it': {
    car: { isDialectCleared: false, dialectVerdict: 'confirmed' },
    codes: ['dialectNotCleared'],
  },
  'the release is for other hardware': {
    car: { unit: UNIT },
    offer: offered({ hardware: ['A', 'C'] }),
    codes: ['otherHardware'],
  },
  'the release is for its hardware': { car: { unit: UNIT }, offer: offered({ hardware: ['A', 'B'] }), codes: [] },
  'the release is for some hardware, and no unit is known': {
    offer: offered({ hardware: ['B'] }),
    codes: ['hardwareUnknown'],
  },
  'the approval was taken back': { revision: { isApproved: false }, codes: ['notApproved'] },
  'the car is not in the stage': { offer: offered({ isTakenIn: false }), codes: ['notOffered'] },
  'the release is a draft': { offer: offered({ state: 'draft' }), codes: ['notOffered'] },
  'the release is complete': { offer: offered({ state: 'complete' }), codes: [] },
  'the release is held': { offer: offered({ state: 'held', reason: 'flares' }), codes: ['held'] },
  'the revision was recalled': { offer: offered({ state: 'recalled', reason: 'flares' }), codes: ['recalled'] },
  'it goes back to what was replaced': { offer: { kind: 'goBack', isRecalled: false }, codes: [] },
  'it goes back to what was recalled too': { offer: { kind: 'goBack', isRecalled: true }, codes: ['recalled'] },
  'it goes back with a dialect that is not cleared any more': {
    car: { isDialectCleared: false, dialectVerdict: 'contradicted' },
    offer: { kind: 'goBack', isRecalled: false },
    codes: ['dialectNotCleared'],
  },
  'much is against it': {
    car: { isDialectCleared: false, dialectVerdict: 'unknown', unit: UNIT },
    revision: { layoutVersion: 2, isApproved: false },
    offer: offered({ state: 'held', hardware: ['A'] }),
    codes: ['otherLayout', 'dialectNotCleared', 'otherHardware', 'notApproved', 'held'],
  },
};

describe('the gate', () => {
  it.each(Object.entries(CASES))('gives its reasons where %s', (_name, { car, revision, offer, layouts, codes }) => {
    const reasons = gate(aCar(car), { ...REVISION, ...revision }, offer ?? OFFER, layouts ?? [1, 2]);
    expect(reasons.map(({ code }) => code)).toEqual(codes);
    for (const { message } of reasons) expect(message).toMatch(/Camper van|Shore r2|It is for control units/);
  });

  it('has a case for every reason', () => {
    expect(new Set(Object.values(CASES).flatMap(({ codes }) => codes))).toEqual(new Set(GATE_REASONS));
  });
});

describe('a cohort', () => {
  it.each([
    ['everybody', {}, true],
    ['the dialect', { dialects: ['gravel', 'sand'] }, true],
    ['another dialect', { dialects: ['gravel'] }, false],
    ['a part of the engine in any case', { engines: ['petrol', 'diesel'] }, true],
    ['another engine', { engines: ['petrol'] }, false],
    ['a tag', { tags: ['winter', 'towing'] }, true],
    ['another tag', { tags: ['winter'] }, false],
    ['all of it', { dialects: ['sand'], engines: ['2.0'], tags: ['towing'] }, true],
  ])('that asks for %s has the car: %#', (_name, cohort, isIn) =>
    expect(isAskedFor(aCar(), { dialects: [], engines: [], tags: [], hardware: [], ...cohort })).toBe(isIn),
  );
});

describe('what a car runs', () => {
  const stated = {
    logId: 'log',
    text: 'Shore r2',
    revision: { id: 'r2', calibrationTitle: 'Shore', number: 2 },
    contentHash: 'b'.repeat(64),
    drivenAtMs: 2000,
  };

  it('is what its newest drive says, and where that is not what was entered, it is told', () => {
    const runs = carRuns(aCar({ stated }));
    expect(runs).toMatchObject({ source: 'log', label: 'Shore r2', revisionId: 'r2', logId: 'log' });
    expect(runs.disagreement).toContain('Shore r1 is entered as installed');
  });

  it('is what was entered after that drive', () => {
    const runs = carRuns(aCar({ stated: { ...stated, drivenAtMs: 500 } }));
    expect(runs).toMatchObject({ source: 'entered', label: 'Shore r1', disagreement: null });
  });

  it('agrees where drive and entry name the same content', () => {
    const same = { ...stated, contentHash: INSTALLED.contentHash };
    expect(carRuns(aCar({ stated: same }))).toMatchObject({ source: 'log', disagreement: null });
  });

  it('is told as written where the club knows no such revision', () => {
    const unknown = { ...stated, text: 'my own', revision: null, contentHash: null };
    const runs = carRuns(aCar({ stated: unknown }));
    expect(runs).toMatchObject({ label: 'my own', revisionId: null });
    expect(runs.disagreement).toContain('does not know');
  });

  it('is unknown where nothing tells', () => {
    expect(carRuns(aCar({ installed: null }))).toMatchObject({ source: 'none', label: null, disagreement: null });
  });
});

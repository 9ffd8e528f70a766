import { describe, expect, it } from 'vitest';
import { callForTesters } from '../src/coverage/call-text.js';
import { DEFAULT_GAP_OPTIONS, modelCoverage } from '../src/coverage/find-gaps.js';
import { needsFilledBy, type OfferedCar, type ProfiledCar, profileNeeds } from '../src/coverage/profile-needs.js';
import { ACTIVE_MS, type CarRecord, suitCars } from '../src/coverage/suit-cars.js';
import { DEFAULT_FLEET_BANDS } from '../src/summaries/bands.js';

const NOW_MS = Date.UTC(2026, 2, 1);
const POINT = { kind: '3-4', loadBand: 2, temperatureBand: 1 };

const aRecord = (change: Partial<CarRecord> = {}): CarRecord => ({
  vehicleId: 'car',
  dialect: 'kelp',
  isCleared: true,
  revisionId: 'r3',
  lastDrivenAtMs: NOW_MS - 1000,
  driven: [{ ...POINT, shifts: 8 }],
  ...change,
});

function suit(cars: readonly CarRecord[], revisionId: string | null = 'r3') {
  const driven = { vehicleId: 'other', dialect: 'kelp', shifts: 10, events: 1 };
  const model = modelCoverage([{ ...POINT, cars: [driven] }], { ...DEFAULT_GAP_OPTIONS, dialects: ['kelp', 'marram'] });
  return suitCars(model, { ...POINT, revisionId, missingDialects: ['marram'] }, { cars, nowMs: NOW_MS });
}

describe('cars that could drive at a point', () => {
  it.each([
    ['runs the revision', {}, { runs: 'runs', isSuitable: true }],
    ['may be given it', { revisionId: 'r2' }, { runs: 'mayRun', isSuitable: true }],
    ['may not be given it', { revisionId: 'r2', isCleared: false }, { runs: 'mayNot', isSuitable: false }],
    ['runs it although its dialect is not cleared', { isCleared: false }, { runs: 'runs', isSuitable: true }],
    ['was never driven', { lastDrivenAtMs: null }, { isActive: false, isSuitable: false }],
    ['was laid up', { lastDrivenAtMs: NOW_MS - ACTIVE_MS - 1 }, { isActive: false, isSuitable: false }],
    ['brings a dialect', { dialect: 'marram' }, { bringsDialect: true, isSuitable: true }],
    ['has driven nothing', { driven: [] }, { reach: 'no', isSuitable: false }],
  ] as const)('a car that %s is told so', (_what, change, expected) => {
    expect(suit([aRecord(change)])).toMatchObject([expected]);
  });

  it.each([
    ['at the point', [{ ...POINT, shifts: 3 }], 'there'],
    ['at the point, but hardly ever', [{ ...POINT, shifts: 2 }], 'no'],
    ['one band of load away', [{ ...POINT, loadBand: 3, shifts: 5 }], 'beside'],
    ['one band of temperature away', [{ ...POINT, temperatureBand: 2, shifts: 5 }], 'beside'],
    ['two bands of temperature away', [{ ...POINT, temperatureBand: 3, shifts: 5 }], 'no'],
    ['two bands of load away', [{ ...POINT, loadBand: 4, shifts: 5 }], 'no'],
    ['without a logged temperature', [{ ...POINT, temperatureBand: -1, shifts: 5 }], 'no'],
    ['in another kind only', [{ ...POINT, kind: '4-3', shifts: 5 }], 'no'],
    [
      'of that load in the warm, and in the cold in another kind',
      [
        { ...POINT, temperatureBand: 3, shifts: 5 },
        { ...POINT, kind: '1-2', loadBand: 0, shifts: 5 },
      ],
      'there',
    ],
  ] as const)('a car that drove %s reaches it so far', (_what, driven, reach) => {
    expect(suit([aRecord({ driven })])).toMatchObject([{ reach }]);
  });

  it('stand in the order of what they would bring, those not worth asking last', () => {
    const cars = [
      aRecord({ vehicleId: 'laid up', dialect: 'marram', lastDrivenAtMs: null }),
      aRecord({ vehicleId: 'other' }),
      aRecord({ vehicleId: 'further' }),
      aRecord({ vehicleId: 'new dialect', dialect: 'marram' }),
    ];
    const found = suit(cars);
    expect(found.map(({ vehicleId }) => vehicleId)).toEqual(['new dialect', 'further', 'other', 'laid up']);
    expect(found[0].widthAfter).toBeLessThan(found[2].widthAfter);
  });

  it('without a revision are asked whatever they run', () => {
    const found = suit(
      [aRecord({ revisionId: 'r1' }), aRecord({ vehicleId: 'none', revisionId: null, isCleared: false })],
      null,
    );
    expect(found.map(({ runs }) => runs)).toEqual(['runs', 'mayNot']);
  });
});

const PLATFORMS = [
  {
    id: 'tern-6',
    title: 'Tern six-speed',
    dialects: [
      { id: 'kelp', title: 'Kelp' },
      { id: 'marram', title: 'Marram' },
    ],
  },
  { id: 'plover-8', title: 'Plover eight-speed', dialects: [] },
];

const aCar = (change: Partial<ProfiledCar> = {}): ProfiledCar => ({
  platformId: 'tern-6',
  dialect: 'kelp',
  isVerified: true,
  engine: '2.5 diesel',
  isActive: true,
  temperatureBands: [0, 1, 2, 3],
  ...change,
});
const needsOf = (cars: readonly ProfiledCar[]) =>
  profileNeeds(cars, { platforms: PLATFORMS, temperature: DEFAULT_FLEET_BANDS.temperature, needed: 3 });

describe('profiles in short supply', () => {
  const cars = [
    aCar(),
    aCar({ engine: ' 2.5  Diesel' }),
    aCar({ isVerified: false }),
    aCar({ dialect: 'marram', isActive: false, engine: '3.0 petrol' }),
    aCar({ dialect: null, isActive: false, engine: '' }),
  ];

  it('are counted by gearbox, dialect, engine and reached temperature, engines by their words', () => {
    const found = needsOf(cars).map(({ dimension, value, cars: count, active, verified, isLacking }) => [
      `${dimension} ${value}`,
      count,
      active,
      verified,
      isLacking,
    ]);
    expect(found).toEqual([
      ['platform tern-6', 5, 3, 4, false],
      ['dialect kelp', 3, 3, 2, false],
      ['dialect marram', 1, 0, 1, true],
      ['engine 2.5 diesel', 3, 3, 2, false],
      ['engine 3.0 petrol', 1, 0, 1, true],
      ['temperature 0', 5, 3, 4, false],
      ['temperature 4', 0, 0, 0, true],
      ['platform plover-8', 0, 0, 0, true],
      ['temperature 0', 0, 0, 0, true],
      ['temperature 4', 0, 0, 0, true],
    ]);
  });

  it.each([
    ['speaks a rare dialect', { dialect: 'marram' }, ['dialect marram']],
    ['has a rare engine', { engine: '3.0 PETROL' }, ['engine 3.0 petrol']],
    ['lives where it freezes', { climates: ['frost'] }, []],
    ['climbs mountains', { climates: ['mountains', 'mild'] }, ['temperature 4']],
    ['has what many have', { dialect: 'kelp', engine: '2.5 diesel' }, []],
    [
      'has a gearbox of no one and frost',
      { platformId: 'plover-8', climates: ['frost'] },
      ['platform plover-8', 'temperature 0'],
    ],
    ['does not know its gearbox', { platformId: null, dialect: 'marram' }, []],
  ] as const)('a car that %s fills what it says', (_what, change, expected) => {
    const offer: OfferedCar = { platformId: 'tern-6', dialect: null, engine: '', climates: [], ...change };
    const filled = needsFilledBy(offer, needsOf(cars));
    expect(filled.map(({ dimension, value }) => `${dimension} ${value}`)).toEqual(expected);
  });

  it('are named in the call for testers, which has its caution', () => {
    const text = callForTesters(needsOf(cars));
    expect(text).toContain(
      'Needed are cars with the Tern six-speed, above all with the bus dialect Marram; with the engine 3.0 petrol;',
    );
    expect(text).toContain('whose fluid gets 100 °C and above.');
    expect(text).toContain('Needed are cars with the Plover eight-speed');
    expect(text).toContain('nobody watches a screen while driving');
  });

  it('are none where every profile has enough cars', () => {
    const full = [0, 1, 2].flatMap(() =>
      ['kelp', 'marram'].map((dialect) => aCar({ dialect, temperatureBands: [0, 1, 2, 3, 4] })),
    );
    const needs = needsOf(full).filter(({ platformId }) => platformId === 'tern-6');
    expect(needs.filter(({ isLacking }) => isLacking)).toEqual([]);
    expect(callForTesters(needs)).toContain('Every gearbox variant that we know of is driven by enough cars.');
  });
});

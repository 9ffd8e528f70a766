import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  CURLEW_GEARBOX,
  clutchLever,
  clutchSlip,
  type Gearset,
  gearboxFromRatios,
  gearRatio,
  PLOVER_GEARBOX,
  solveGearset,
  TERN_GEARBOX,
} from '../src/index.js';
import { hasReference, readReference } from './reference.js';

// P. Lepelletier, US patent 5,106,352 (1992); tooth counts and ratios: shared/reference/check-values.md 6.
const PUBLISHED_SIX_SPEED: Gearset = {
  input: 'R1',
  output: 'R2',
  held: ['S1'],
  sets: [
    { sun: 'S1', ring: 'R1', carrier: 'C1', sunTeeth: 37, ringTeeth: 71, planets: 'single' },
    { sun: 'S2', ring: 'R2', carrier: 'C2', sunTeeth: 31, ringTeeth: 85, planets: 'double' },
    { sun: 'S3', ring: 'R2', carrier: 'C2', sunTeeth: 38, ringTeeth: 85, planets: 'single' },
  ],
  clutches: [
    { id: 'A', joins: ['C1', 'S2'] },
    { id: 'B', joins: ['C1', 'S3'] },
    { id: 'C', joins: ['S3'] },
    { id: 'D', joins: ['C2'] },
    { id: 'E', joins: ['R1', 'C2'] },
  ],
};

const GEARS = { '1': 'AD', '2': 'AC', '3': 'AB', '4': 'AE', '5': 'BE', '6': 'CE', R: 'BD' } as const;

function aSimpleSet(input: string, output: string, held: string, sunTeeth = 30, ringTeeth = 70): Gearset {
  const sets = [{ sun: 'sun', ring: 'ring', carrier: 'carrier', sunTeeth, ringTeeth, planets: 'single' as const }];
  return { input, output, sets, held: [held], clutches: [] };
}

describe('gear ratios by Willis’ equation', () => {
  it.each([
    ['1', 9180 / 2201, 4.171],
    ['2', 211140 / 90241, 2.34],
    ['3', 108 / 71, 1.521],
    ['4', 9180 / 8033, 1.143],
    ['5', 4590 / 5293, 0.867],
    ['6', 85 / 123, 0.691],
    ['R', -4590 / 1349, -3.403],
  ] as const)('gear %s of the published six-speed is %d, printed as %d', (gear, exact, printed) => {
    const ratio = gearRatio(PUBLISHED_SIX_SPEED, GEARS[gear].split(''));
    expect(ratio).toBeCloseTo(exact, 12);
    expect(Math.abs(ratio - printed)).toBeLessThan(0.0006);
  });

  // Any machine-dynamics text; shared/reference/check-values.md 6, simple set 30/70.
  it.each([
    ['sun', 'carrier', 'ring', 10 / 3],
    ['ring', 'carrier', 'sun', 10 / 7],
    ['sun', 'ring', 'carrier', -7 / 3],
    ['carrier', 'ring', 'sun', 7 / 10],
    ['carrier', 'sun', 'ring', 3 / 10],
  ])('a simple set driven at the %s with the %s driven and the %s held has ratio %d', (input, output, held, ratio) => {
    expect(gearRatio(aSimpleSet(input, output, held), [])).toBeCloseTo(ratio, 12);
  });

  // Open encyclopaedia tables; shared/reference/second-source/check-values.md 8.
  it.each([
    ['smallSun', 'carrier', 64 / 25],
    ['largeSun', 'carrier', -64 / 32],
    ['smallSun', 'largeSun', 38 / 25],
  ])('a two-sun set 25, 32, 64 driven at the %s with the %s held has ratio %d', (input, held, ratio) => {
    const sets = [
      { sun: 'smallSun', ring: 'ring', carrier: 'carrier', sunTeeth: 25, ringTeeth: 64, planets: 'double' as const },
      { sun: 'largeSun', ring: 'ring', carrier: 'carrier', sunTeeth: 32, ringTeeth: 64, planets: 'single' as const },
    ];
    expect(gearRatio({ input, output: 'ring', sets, held: [held], clutches: [] }, [])).toBeCloseTo(ratio, 12);
  });

  it('turns the arm of the textbook example at −20 when sun and ring turn at −100 and 0', () => {
    // Shigley's Mechanical Engineering Design, section 13-13: sun 20 teeth, ring 80.
    const set = { ...aSimpleSet('sun', 'carrier', 'ring', 20, 80) };
    expect(solveGearset(set, [], { sun: -100 }).carrier).toBeCloseTo(-20, 12);
  });

  it('turns everything together when any two members are joined', () => {
    fc.assert(
      fc.property(fc.integer({ min: 17, max: 60 }), fc.integer({ min: 61, max: 130 }), (sunTeeth, ringTeeth) => {
        const joined = { ...aSimpleSet('sun', 'ring', 'none', sunTeeth, ringTeeth), held: [] };
        const clutches = [{ id: 'K', joins: ['sun', 'carrier'] as const }];
        expect(gearRatio({ ...joined, clutches }, ['K'])).toBeCloseTo(1, 12);
      }),
    );
  });

  it('refuses clutches that leave a member free, and those that contradict each other', () => {
    expect(() => gearRatio(PUBLISHED_SIX_SPEED, ['A'])).toThrow(/does not settle/);
    expect(() => gearRatio(PUBLISHED_SIX_SPEED, ['C', 'D', 'E'])).toThrow(/does not settle/);
    expect(() => gearRatio(PUBLISHED_SIX_SPEED, ['A', 'Z'])).toThrow(/no clutch 'Z'/);
  });

  it.skipIf(!hasReference)('agrees with every member speed of the reference file', () => {
    type Reference = {
      gears: { gear: keyof typeof GEARS; ratio: number; speeds_per_input: Record<string, number> }[];
    };
    const names: Record<string, string> = { C1: 'C1', S2: 'S2', S3: 'S3', C2: 'C2', R2_out: 'R2' };
    const { gears } = readReference<Reference>('planetary.json');
    expect(gears).toHaveLength(7);
    for (const { gear, ratio, speeds_per_input } of gears) {
      const speeds = solveGearset(PUBLISHED_SIX_SPEED, GEARS[gear].split(''), { R1: 1 });
      expect(1 / speeds.R2).toBeCloseTo(ratio, 12);
      for (const [name, speed] of Object.entries(speeds_per_input)) expect(speeds[names[name]]).toBeCloseTo(speed, 12);
    }
  });
});

describe('a gearbox from given ratios', () => {
  const platform = {
    ...TERN_GEARBOX.platform,
    gears: TERN_GEARBOX.platform.gears.slice(0, 3),
    shifts: [{ id: '1-2', from: 1, to: 2 }],
  };
  const clutches = Object.entries(TERN_GEARBOX.clutches).map(([id, hardware]) => ({ ...hardware, id }));

  it('exchanges the clutches of its application chart, each acting on the input with lever 1', () => {
    expect(gearboxFromRatios(platform, clutches).exchanges).toEqual({
      '1-2': { oncoming: 'C', oncomingLever: 1, offgoing: 'D', offgoingLever: 1 },
    });
  });

  it('refuses a shift that exchanges two clutches for two', () => {
    const gears = platform.gears.with(1, { gear: 2, ratio: 2, applied: ['B', 'C'] });
    expect(() => gearboxFromRatios({ ...platform, gears }, clutches)).toThrow('Shift 1-2 exchanges [A,D] for [B,C]');
  });
});

describe('clutch levers', () => {
  it('carries in brake C of the sixth gear what the balance of torques leaves over', () => {
    // The front set is idle in sixth: T_C = T_in − T_out = T_in·(1 − 85/123).
    expect(clutchLever(PUBLISHED_SIX_SPEED, ['E'], 'C')).toBeCloseTo(1 / (1 - 85 / 123), 12);
  });

  it('balances power while a clutch slips, at any speeds', () => {
    const lever = clutchLever(PUBLISHED_SIX_SPEED, ['A'], 'E');
    fc.assert(
      fc.property(
        fc.double({ min: 500, max: 5000, noNaN: true }),
        fc.double({ min: 0, max: 5000, noNaN: true }),
        (n, o) => {
          const speeds = solveGearset(PUBLISHED_SIX_SPEED, ['A'], { R1: n, R2: o });
          const departure = n - gearRatio(PUBLISHED_SIX_SPEED, ['A', 'E']) * o;
          expect(Math.abs(clutchSlip(PUBLISHED_SIX_SPEED, 'E', speeds))).toBeCloseTo(lever * Math.abs(departure), 6);
        },
      ),
    );
  });
});

it.each([TERN_GEARBOX, PLOVER_GEARBOX, CURLEW_GEARBOX])(
  '$platform.title has ratios that fall, and steps of 1.15 to 1.9',
  (box) => {
    const ratios = box.platform.gears.map(({ ratio }) => ratio);
    for (let i = 1; i < ratios.length; i++) {
      expect(ratios[i - 1] / ratios[i]).toBeGreaterThan(1.15);
      expect(ratios[i - 1] / ratios[i]).toBeLessThan(1.9);
    }
  },
);

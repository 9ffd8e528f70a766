import { describe, expect, it } from 'vitest';
import { DEMO_TARGET_TIMES, type DriveTrace, lockUpTruths, shiftTruths } from '../src/index.js';
import { aCar } from './example.js';

const STEP_S = 0.002;
const CYCLE_S = 0.01;
const OUTPUT_RPM = 1000;

type Course = readonly (readonly [timeS: number, rpm: number])[];

/** A trace of 3 s at an output speed of 1000 rpm whose input speed goes through the given points. */
function aTrace(input: Course, shift: { from: number; to: number; fromRatio: number; toRatio: number }): DriveTrace {
  const count = 3 / STEP_S;
  const along = (course: Course) => Float64Array.from({ length: count }, (_, i) => at(course, i * STEP_S));
  const constant = (value: number) => new Float64Array(count).fill(value);
  const slow = new Float64Array(3 / CYCLE_S).fill(400);
  return {
    stepS: STEP_S,
    engineRpm: constant(2000),
    inputRpm: along(input),
    outputRpm: constant(OUTPUT_RPM),
    inputTorqueNm: constant(200),
    oncomingNm: constant(0),
    offgoingNm: constant(0),
    slow: {
      gear: slow,
      gearTarget: slow,
      load: slow,
      pedal: slow,
      brake: slow,
      fluidTemperature: slow,
      applyPressure: slow,
      linePressure: slow,
      converterDuty: slow,
      valveOn: slow,
    },
    shifts: [
      {
        ...shift,
        firstTarget: shift.to,
        commandS: 1,
        endS: 2,
        retargeted: false,
        commandedKpa: 400,
        rampKpaPerS: 0,
        governedBy: 'oncoming',
        governingGain: 0.5,
        at: {
          load: 50,
          pedal: 40,
          inputTorqueNm: 200,
          engineSpeedRpm: 2000,
          inputSpeedRpm: 2000,
          outputSpeedRpm: OUTPUT_RPM,
          fluidTemperatureC: 80,
          program: 'normal',
        },
      },
    ],
    lockUps: [],
    energy: {
      engineWorkJ: 0,
      kineticChangeJ: 0,
      converterLossJ: 0,
      lockUpHeatJ: 0,
      clutchHeatJ: 0,
      brakeHeatJ: 0,
      roadWorkJ: 0,
    },
  };
}

function at(course: Course, timeS: number): number {
  const next = course.findIndex(([t]) => t > timeS);
  if (next < 0) return course[course.length - 1][1];
  if (next === 0) return course[0][1];
  const [t0, y0] = course[next - 1];
  const [t1, y1] = course[next];
  return y0 + ((timeS - t0) / (t1 - t0)) * (y1 - y0);
}

function truthOf(input: Course, shift: Parameters<typeof aTrace>[1]) {
  return shiftTruths(aTrace(input, shift), aCar(), DEMO_TARGET_TIMES)[0];
}

const UP = { from: 3, to: 4, fromRatio: 2, toRatio: 1.5 };
const DOWN = { from: 4, to: 3, fromRatio: 1.5, toRatio: 2 };

// Tolerance is 30 rpm on the line of ratio 2 and 25 rpm on that of ratio 1.5; ramps make crossings exact.
describe('the truth of a shift', () => {
  it('starts the inertia phase of an upshift at the lower edge of the old line and ends it at the upper edge of the new', () => {
    const truth = truthOf(
      [
        [1.3, 2000],
        [1.8, 1500],
      ],
      UP,
    );
    expect(truth.inertiaStartS).toBeCloseTo(1.33, 6);
    expect(truth.syncS).toBeCloseTo(1.775, 6);
    expect(truth.inertiaTimeS).toBeCloseTo(0.445, 6);
    expect(truth).toMatchObject({ kind: '3-4', outcome: 'complete', flareRpm: 0, flareMs: 0, flareStartS: null });
  });

  it('measures a flare from the edge of tolerance and takes the last crossing as the start of the inertia phase', () => {
    const truth = truthOf(
      [
        [1.2, 2000],
        [1.4, 2200],
        [1.65, 1950],
        [1.85, 1500],
      ],
      UP,
    );
    expect(truth.flareRpm).toBeCloseTo(200, 6);
    expect(truth.flareStartS).toBeCloseTo(1.23, 6);
    expect(Math.abs(truth.flareMs - 340)).toBeLessThanOrEqual(2 * STEP_S * 1000);
    expect(truth.inertiaStartS).toBeCloseTo(1.63, 6);
    expect(truth.actualTimeS).toBeCloseTo((truth.syncS ?? 0) - 1.23, 6);
  });

  it('reports no flare that stays within tolerance', () => {
    expect(
      truthOf(
        [
          [1.2, 2000],
          [1.3, 2029],
          [1.4, 2000],
          [1.8, 1500],
        ],
        UP,
      ).flareRpm,
    ).toBe(0);
  });

  it('measures the overshoot of a downshift beyond the new line and waits for lasting synchronisation', () => {
    const truth = truthOf(
      [
        [1.2, 1500],
        [1.6, 2050],
        [1.7, 2000],
      ],
      DOWN,
    );
    expect(truth.inertiaStartS).toBeCloseTo(1.2 + (25 / 550) * 0.4, 6);
    expect(truth.flareRpm).toBeCloseTo(50, 6);
    expect(truth.syncS).toBeCloseTo(1.64, 6);
  });

  it('calls a shift that never comes to its line unsynchronised', () => {
    const truth = truthOf(
      [
        [1.3, 2000],
        [1.6, 1700],
      ],
      UP,
    );
    expect(truth).toMatchObject({
      outcome: 'unsynchronised',
      syncS: null,
      inertiaTimeS: null,
      pressureNeededKpa: null,
    });
  });

  it('asks for the pressure of a steady shift that met its target, and for more after a slow one', () => {
    const target = 0.43;
    const inTime = truthOf(
      [
        [1.3, 2000],
        [1.3 + (target * 500) / 445, 1500],
      ],
      UP,
    );
    expect(inTime.inertiaTimeS).toBeCloseTo(target, 6);
    expect(inTime.pressureNeededKpa).toBeCloseTo(400, 6);
    const slow = truthOf(
      [
        [1.3, 2000],
        [2.3, 1500],
      ],
      UP,
    );
    // Engine at constant speed: J·Δω·(1/t* − 1/t_a) with J = 0.2 kg·m², gain 0.5 N·m/kPa.
    const missing = (0.2 * ((500 * Math.PI) / 30) * (1 / target - 1 / 0.89)) / 0.5;
    expect(slow.pressureNeededKpa).toBeCloseTo(400 + missing, 6);
  });
});

it('counts lock-up as made once slip stays below 200 rpm for 100 ms (common practice)', () => {
  const slip: Course = [
    [1, 500],
    [1.5, 0],
    [2.5, 0],
  ];
  const trace = aTrace(
    slip.map(([t, rpm]) => [t, 2000 - rpm]),
    UP,
  );
  const lockUps = [{ gear: 4, commandS: 1, releasedS: 2.5, shiftsInside: 0 }];
  const [made] = lockUpTruths({ ...trace, lockUps });
  expect(Math.abs((made.madeS ?? 0) - 1.3)).toBeLessThan(1.5 * STEP_S);
  const [never] = lockUpTruths({ ...trace, lockUps: [{ ...lockUps[0], releasedS: 1.2 }] });
  expect(never.madeS).toBeNull();
});

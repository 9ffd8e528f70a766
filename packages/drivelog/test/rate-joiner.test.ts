import { serialize } from 'node:v8';
import fc from 'fast-check';
import { expect, it } from 'vitest';
import { JOIN_RULES, RateJoiner, type SignalBatch, type SignalId } from '../src/index.js';

interface Sample {
  readonly timeS: number;
  readonly values: Partial<Record<SignalId, number>>;
}

function join(signals: readonly SignalId[], samples: readonly Sample[], batchSize = 8192) {
  const joiner = new RateJoiner(signals, batchSize);
  const batches: SignalBatch[] = [];
  for (const { timeS, values } of samples) {
    const slots = signals.flatMap((signal, slot) => (signal in values ? [slot] : []));
    joiner.push(
      timeS,
      slots,
      slots.map((slot) => values[signals[slot]] ?? NaN),
    );
    batches.push(...joiner.takeFull());
  }
  batches.push(...joiner.end());
  const column = (signal: SignalId) => batches.flatMap((batch) => [...(batch.signals[signal] ?? [])]);
  return {
    timeS: batches.flatMap(({ timeS }) => [...timeS]),
    signals: Object.fromEntries(signals.map((signal) => [signal, column(signal)])),
    findings: joiner.findings(),
    missing: joiner.missingValues(),
  };
}

const every = (
  stepS: number,
  count: number,
  signal: SignalId,
  value: (timeS: number) => number,
  offsetS = 0,
): Sample[] =>
  Array.from({ length: count }, (_, i) => ({
    timeS: i * stepS + offsetS,
    values: { [signal]: value(i * stepS + offsetS) },
  }));
const merged = (...lists: Sample[][]) => lists.flat().sort((a, b) => a.timeS - b.timeS);

it('the faster of input and output speed gives the moments, other signals never do', () => {
  const pedal = every(0.001, 3000, 'pedal', () => 5);
  const slow = every(0.1, 30, 'inputSpeed', (t) => t, 0.0005);
  const fast = every(0.02, 150, 'outputSpeed', (t) => t, 0.0007);
  const log = join(['inputSpeed', 'outputSpeed', 'pedal'], merged(pedal, slow, fast));
  expect(log.findings.base).toBe('outputSpeed');
  expect(log.timeS).toEqual(Array.from({ length: 150 }, (_, i) => expect.closeTo(i * 0.02, 9)));
});

it('a straight line is met exactly between samples, however unevenly they come', () => {
  const property = fc.property(
    fc.array(fc.double({ min: 0.001, max: 0.9, noNaN: true }), { minLength: 2, maxLength: 40 }),
    (steps) => {
      let at = 0;
      const slow = steps.map((step): Sample => ({ timeS: (at += step), values: { load: 7 - 3 * at } }));
      const base = every(0.02, Math.ceil(at / 0.02) + 10, 'inputSpeed', (t) => t);
      const log = join(['inputSpeed', 'load'], merged(slow, base));
      for (const [i, value] of log.signals.load.entries()) {
        const timeS = base[i].timeS;
        if (timeS >= slow[0].timeS && timeS <= at) expect(value).toBeCloseTo(7 - 3 * timeS, 8);
        else expect(value).toBeNaN();
      }
    },
  );
  fc.assert(property, { numRuns: 60, seed: 9 });
});

it('states are held however long and are never a value between; before the first there is none', () => {
  const base = every(0.5, 200, 'inputSpeed', () => 900);
  const gears: Sample[] = [
    { timeS: 1.2, values: { gear: 2 } },
    { timeS: 80.4, values: { gear: 5 } },
  ];
  const { gear } = join(['inputSpeed', 'gear'], merged(base, gears)).signals;
  expect(gear.slice(0, 4)).toEqual([NaN, NaN, NaN, 2]);
  expect(gear.slice(158, 163)).toEqual([2, 2, 2, 5, 5]);
  expect(new Set(gear.slice(3))).toEqual(new Set([2, 5]));
});

it('a speed is not drawn across more than a second, a temperature is over half a minute, and the gaps are told', () => {
  const base = every(0.1, 600, 'inputSpeed', () => 900);
  const output = every(0.1, 600, 'outputSpeed', (t) => t, 0.05).filter(({ timeS }) => timeS < 20 || timeS > 22);
  const fluid = every(25, 3, 'fluidTemperature', (t) => 40 + t / 10);
  const log = join(['inputSpeed', 'outputSpeed', 'fluidTemperature'], merged(base, output, fluid));
  const row = (timeS: number) => Math.round(timeS * 10);
  expect(log.signals.outputSpeed[row(19.9)]).toBeCloseTo(19.9, 6);
  expect(log.signals.outputSpeed.slice(row(20), row(22.1))).toEqual(Array(21).fill(NaN));
  expect(log.signals.outputSpeed[row(22.1)]).toBeCloseTo(22.1, 6);
  expect(log.signals.fluidTemperature[row(37)]).toBeCloseTo(43.7, 9);
  const { outputSpeed, fluidTemperature } = log.findings.signals;
  expect(outputSpeed).toMatchObject({
    rule: 'linear',
    largestGapS: expect.closeTo(2.1, 6),
    largestGapStartS: expect.closeTo(19.95, 6),
  });
  expect(fluidTemperature?.largestGapS).toBeCloseTo(25, 6);
  expect(log.missing.outputSpeed).toBe(21 + 1);
});

it('a signal that ends early, begins late or never comes has the rest of the log as its gap', () => {
  const base = every(0.1, 101, 'inputSpeed', () => 900);
  const log = join(
    ['inputSpeed', 'pedal', 'gear', 'load'],
    merged(
      base,
      every(0.1, 11, 'pedal', () => 3),
      [{ timeS: 7, values: { gear: 1 } }],
    ),
  );
  const { pedal, gear, load } = log.findings.signals;
  expect([pedal, gear, load].map((found) => found?.largestGapS)).toEqual(
    [9, 7, 10].map((gap) => expect.closeTo(gap, 9)),
  );
  expect(load).toMatchObject({ sampleCount: 0, largestGapStartS: 0 });
});

it('where time steps back nothing is held or drawn across, and rows keep their order', () => {
  const first = merged(
    every(0.1, 20, 'inputSpeed', () => 1),
    every(0.1, 20, 'load', () => 10, 0.05),
    [{ timeS: 0, values: { gear: 3 } }],
  );
  const log = join(['inputSpeed', 'load', 'gear'], [...first, ...every(0.1, 20, 'inputSpeed', () => 2, 1.2)]);
  expect(log.timeS).toHaveLength(40);
  expect(log.timeS[20]).toBeCloseTo(1.2, 9);
  expect(log.signals.gear.slice(18, 22)).toEqual([3, 3, NaN, NaN]);
  expect(log.signals.load.slice(20)).toEqual(Array(20).fill(NaN));
});

it('values recorded at the moment of a row are taken as they are, repeated moments too', () => {
  const samples = [1, 2, 2, 2, 3].map((timeS, i): Sample => ({ timeS, values: { inputSpeed: i, load: 10 * i } }));
  const log = join(['inputSpeed', 'load'], samples);
  expect(log).toMatchObject({
    timeS: [0, 1, 1, 1, 2],
    signals: { inputSpeed: [0, 1, 2, 3, 4], load: [0, 10, 20, 30, 40] },
  });
});

it('NaN is a sample that says no value: no line is drawn through it', () => {
  const base = every(0.1, 9, 'inputSpeed', () => 1);
  const load: Sample[] = [0, 0.25, 0.55, 0.75].map((timeS, i) => ({ timeS, values: { load: i === 1 ? NaN : 5 } }));
  const log = join(['inputSpeed', 'load'], merged(base, load));
  expect(log.signals.load).toEqual([5, NaN, NaN, NaN, NaN, NaN, 5, 5, NaN]);
});

it('batches and the moment of the first sample do not change the values', () => {
  const samples = merged(every(0.02, 300, 'inputSpeed', Math.sin), every(0.1, 60, 'pedal', Math.cos, 0.003));
  const whole = join(['inputSpeed', 'pedal'], samples);
  expect(join(['inputSpeed', 'pedal'], samples, 7)).toEqual(whole);
});

it('memory stays bounded when a slow signal never comes back while rows go on, and when the rows stop', () => {
  const joiner = new RateJoiner(['inputSpeed', 'fluidTemperature'], 4096);
  joiner.push(0, [0, 1], [1, 20]);
  let rows = 0;
  for (let i = 1; i <= 200_000; i++) {
    joiner.push(i * 1e-6, [0], [i]);
    rows += joiner.takeFull().reduce((sum, { timeS }) => sum + timeS.length, 0);
  }
  expect(rows).toBeGreaterThan(200_000 - 70_000);
  for (let i = 0; i < 50_000; i++) joiner.push(1 + i, [1], [i]);
  rows += joiner.takeFull().reduce((sum, { timeS }) => sum + timeS.length, 0);
  expect(rows).toBeGreaterThan(200_000 - 4096);
});

it('memory stays bounded when every record has all signals', () => {
  const joiner = new RateJoiner(['inputSpeed', 'gear'], 4096);
  for (let i = 0; i < 200_000; i++) {
    joiner.push(i * 0.01, [0, 1], [i, 1]);
    joiner.takeFull();
  }
  expect(serialize(joiner).length).toBeLessThan(500_000);
});

it('measured signals have lines, states are held', () => {
  expect(JOIN_RULES.gear).toEqual({ kind: 'hold', maxGapS: Infinity });
  expect(JOIN_RULES.outputSpeed).toEqual({ kind: 'linear', maxGapS: 1 });
  expect(
    Object.entries(JOIN_RULES)
      .filter(([, { kind }]) => kind === 'hold')
      .map(([signal]) => signal),
  ).toEqual(['gear', 'gearTarget', 'brake', 'program', 'valveOn', 'mark']);
});

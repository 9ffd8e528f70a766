import { expect, it } from 'vitest';
import {
  type BusTraffic,
  BusTrafficCounter,
  CaptureTrafficCounter,
  checkCapture,
  checkDialect,
  learnDialect,
} from '../src/index.js';
import { seededRandom } from './random.js';
import { bytesOf } from './read-log.js';
import { sharedFile } from './shared-data.js';

interface Sent {
  readonly identifier: number;
  readonly periodS: number;
  readonly length: number;
}

const PERIODS_S = [0.05, 0.1, 0.1, 0.2, 0.2, 0.5, 1];
const common: Sent[] = Array.from({ length: 24 }, (_, i) => ({
  identifier: 0x100 + 0x11 * i,
  periodS: PERIODS_S[i % PERIODS_S.length],
  length: [8, 6, 4][i % 3],
}));

/** Five dialects that share 21 of 24 identifiers: two periods, one length and two identifiers are each one's own. */
const buses: Record<string, Sent[]> = Object.fromEntries(
  ['plain', 'brine', 'dune', 'marsh', 'withheld'].map((name, k) => [
    name,
    [
      ...common.map((sent, i) => {
        if (i === k || i === k + 5) return { ...sent, periodS: sent.periodS * 1.25 };
        return i === k + 10 ? { ...sent, length: sent.length - 1 } : sent;
      }),
      { identifier: 0x600 + k, periodS: 0.1, length: 8 },
      { identifier: 0x610 + k, periodS: 1, length: 8 },
    ],
  ]),
);

/** A capture in the order of time: each frame is sent up to 10 % of its period early or late, and 5 % get lost. */
function simulate(bus: readonly Sent[], random: () => number, durationS = 30): BusTraffic {
  const counter = new BusTrafficCounter();
  const dueS = bus.map(({ periodS }) => random() * periodS);
  const sentS = dueS.map((due, i) => due + (2 * random() - 1) * 0.1 * bus[i].periodS);
  for (;;) {
    let next = 0;
    for (let i = 1; i < sentS.length; i++) if (sentS[i] < sentS[next]) next = i;
    if (sentS[next] > durationS) return counter.result('can0');
    if (random() >= 0.05) counter.push(sentS[next], bus[next].identifier, false, bus[next].length);
    dueS[next] += bus[next].periodS;
    sentS[next] = dueS[next] + (2 * random() - 1) * 0.1 * bus[next].periodS;
  }
}

const random = seededRandom(20260301);
const names = ['plain', 'brine', 'dune', 'marsh'];
const known = names.map((name) =>
  learnDialect(
    name,
    [1, 2, 3].map(() => simulate(buses[name], random)),
  ),
);

it('1,000 captures of 30 s with 5 % lost frames and 10 % jitter get no wrong dialect, and nearly all get theirs', () => {
  let recognised = 0;
  for (let trial = 0; trial < 1000; trial++) {
    const truth = names[trial % names.length];
    const { observed } = checkDialect(simulate(buses[truth], random), known);
    expect([truth, null]).toContain(observed);
    if (observed !== null) recognised++;
  }
  expect(recognised).toBeGreaterThan(990);
}, 30_000);

it('a dialect that is not known is not taken for a known one, and what is off is told', () => {
  for (let trial = 0; trial < 50; trial++) {
    const check = checkDialect(simulate(buses.withheld, random), known);
    expect(check).toMatchObject({ observed: null, doubt: 'no_fit' });
    expect(check.reason).toContain('no known dialect fits');
    const strange = check.scores[0].disagreements.filter(({ kind }) => kind === 'unexpected');
    expect(strange.map(({ identifier }) => identifier)).toEqual(['604', '614']);
  }
});

it('each kind of disagreement names its identifier, what was expected and what was found', () => {
  const check = checkDialect(simulate(buses.brine, random), known);
  const plain = check.scores.find(({ dialect }) => dialect === 'plain');
  expect(check.observed).toBe('brine');
  expect(plain?.disagreements).toEqual(
    expect.arrayContaining([
      { kind: 'length', identifier: '1AA', expected: '5 bytes', found: '6 bytes' },
      {
        kind: 'missing',
        identifier: '600',
        expected: expect.stringMatching(/^every (9\d|10\d) ms$/),
        found: 'not sent',
      },
      {
        kind: 'unexpected',
        identifier: '601',
        expected: 'not sent',
        found: expect.stringMatching(/^every (9\d|10\d) ms$/),
      },
      {
        kind: 'period',
        identifier: '111',
        expected: expect.stringMatching(/^every (9\d|10\d) ms$/),
        found: expect.stringMatching(/^every 1[23]\d ms$/),
      },
    ]),
  );
});

it.each([
  ['too short', () => checkDialect(simulate(buses.plain, random, 5), known), 'too_little', 'too little traffic'],
  ['with no known dialect', () => checkDialect(simulate(buses.plain, random), []), 'none_known', 'no dialect'],
  [
    'between two dialects that are the same',
    () => checkDialect(simulate(buses.plain, random), [known[0], { ...known[0], dialect: 'twin' }]),
    'fit_alike',
    'fit alike',
  ],
])('a capture %s cannot be told', (_, check, doubt, reason) => {
  expect(check()).toMatchObject({ observed: null, doubt, reason: expect.stringContaining(reason) });
});

it('an identifier that only half of the cars send costs nothing when it is missing', () => {
  const option = { identifier: 0x700, periodS: 0.1, length: 8 };
  const captures = [0, 1, 2, 3].map((i) => simulate(i < 2 ? [...buses.plain, option] : buses.plain, random));
  const profile = learnDialect('plain', captures);
  expect(profile.identifiers.find(({ identifier }) => identifier === 0x700)?.presence).toBeCloseTo(11.5 / 14);
  expect(checkDialect(simulate(buses.plain, random), [profile]).scores[0].disagreements).toEqual([]);
});

it('a profile survives JSON', () => {
  expect(JSON.parse(JSON.stringify(known[0]))).toEqual(known[0]);
});

it('learning needs a capture', () => {
  expect(() => learnDialect('plain', [])).toThrow('at least one capture');
});

it('periods, spread and lengths are counted as sent', () => {
  const counter = new BusTrafficCounter();
  for (let i = 0; i < 1000; i++) counter.push(i * 0.02, 0x123, false, i % 10 === 0 ? 4 : 8);
  counter.push(19.98, 0x1abcdef0, true, 0);
  const { durationS, identifiers } = counter.result('can0');
  expect(durationS).toBeCloseTo(19.98);
  expect(identifiers).toMatchObject([
    { identifier: 0x123, isExtended: false, frames: 1000, usualLength: 8, lengths: [4, 8] },
    { identifier: 0x1abcdef0, isExtended: true, frames: 1, periodS: null, spread: null, lengths: [0] },
  ]);
  expect(identifiers[0].periodS).toBeCloseTo(0.02, 3);
  expect(identifiers[0].spread).toBeLessThan(0.02);
});

it('a hostile capture with every identifier stays small', () => {
  const counter = new BusTrafficCounter();
  for (let i = 0; i < 5000; i++) counter.push(i / 1000, i * 3, true, 8);
  const traffic = counter.result('can0');
  expect(traffic.identifiers).toHaveLength(2048);
  expect(traffic.uncountedFrames).toBe(5000 - 2048);
});

it('a recorded car is known again by its second half minute, and neither its other bus nor the radar is taken for it', () => {
  const lines = new TextDecoder().decode(sharedFile('data/rav4/rav4_raw_can.candump.log.gz')).split('\n');
  const middle = lines.length >> 1;
  const trafficOf = (part: readonly string[], cut = 100_000) => {
    const counter = new CaptureTrafficCounter();
    const bytes = bytesOf(`${part.join('\n')}\n`);
    for (let at = 0; at < bytes.length; at += cut) counter.push(bytes.subarray(at, at + cut));
    return counter.end();
  };
  const [first, second] = [trafficOf(lines.slice(0, middle)), trafficOf(lines.slice(middle), 9973)];
  const busOf = (traffics: readonly BusTraffic[], name: string) =>
    traffics.find(({ busInterface }) => busInterface === name) ?? first[0];
  const powertrain = learnDialect('powertrain', [busOf(first, 'can0')]);
  const radar = learnDialect('radar', [busOf(first, 'can1')]);
  const faster = {
    ...powertrain,
    dialect: 'faster',
    identifiers: powertrain.identifiers.map((entry, i) =>
      i % 8 === 0 && entry.periodS !== null ? { ...entry, periodS: entry.periodS * 0.8 } : entry,
    ),
  };
  const check = checkCapture(second, [faster, radar, powertrain]);
  expect(check).toMatchObject({ busInterface: 'can0', observed: 'powertrain' });
  expect(check?.margin).toBeGreaterThan(50);
  expect(checkDialect(busOf(second, 'can1'), [powertrain, faster]).observed).toBeNull();
  expect(checkDialect(busOf(second, 'can1'), [powertrain, radar]).observed).toBe('radar');
});

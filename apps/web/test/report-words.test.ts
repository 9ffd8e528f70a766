import type { Band, DrivingWish, ReportedShift, ShiftRow } from '@syncline/contract';
import { describe, expect, it } from 'vitest';
import { kindWords, timesWords } from '../src/format/gear-words.js';
import { rowWords, tooFewWords } from '../src/pages/report/comparison-words.js';
import { doubtLines } from '../src/pages/report/doubts-section.js';
import { conditionWords, shiftStory, shiftTitle } from '../src/pages/report/shift-words.js';
import { wishFigures, wishWords } from '../src/pages/report/wish-words.js';

/** The words as they are read: spaces that keep a unit with its number are spaces. */
const plain = (text: string) => text.replace(/[\u202f\u00a0]/g, ' ');

const band = (index: number, low: number | null, high: number | null, label: string): Band => ({
  index,
  low,
  high,
  label,
});

describe('gears and counts in words', () => {
  it.each([
    [3, 4, 'third to fourth'],
    [2, 1, 'second to first'],
    [11, 12, 'gear 11 to gear 12'],
  ])('%i-%i is “%s”', (from, to, words) => {
    expect(kindWords({ from, to })).toBe(words);
  });

  it.each([
    [1, 'once'],
    [2, 'twice'],
    [12, 'twelve times'],
    [13, '13 times'],
  ])('%i is “%s”', (count, words) => {
    expect(timesWords(count)).toBe(words);
  });
});

describe('what to drive next', () => {
  const wish: DrivingWish = {
    kind: '3-4',
    from: 3,
    to: 4,
    load: band(3, 45, 60, '45–60 %'),
    fluidTemperature: band(2, 50, 80, '50–80 °C'),
    shifts: 4,
    vehicles: 2,
    ownShifts: 1,
    ask: 12,
  };

  it('is said as to a friend, and in figures', () => {
    expect(wishWords(wish)).toBe('third to fourth at about half load with warm fluid, twelve times');
    expect(plain(wishFigures(wish, 30))).toBe(
      'load 45–60 %, fluid 50–80 °C; so far 4 of 30 shifts in 2 cars, 1 of this car',
    );
  });

  it.each([
    [band(0, null, 15, ''), 'hardly any load'],
    [band(1, 15, 30, ''), 'light load'],
    [band(2, 30, 45, ''), 'about a third of full load'],
    [band(4, 60, 75, ''), 'about two thirds of full load'],
    [band(5, 75, null, ''), 'heavy load'],
  ])('names the load band %#: %s', (load, words) => {
    expect(wishWords({ ...wish, load })).toContain(`at ${words} with`);
  });

  it.each([
    [band(0, null, 20, ''), 'cold'],
    [band(1, 20, 50, ''), 'cool'],
    [band(3, 80, 100, ''), 'hot'],
  ])('names the fluid band %#: %s', (fluidTemperature, word) => {
    expect(wishWords({ ...wish, fluidTemperature })).toContain(`with ${word} fluid`);
  });
});

const SHIFT = {
  from: 3,
  to: 4,
  direction: 'up',
  commandS: 724.4,
  syncS: 725.2,
  grades: ['flare'],
  flareMs: 420,
  load: 52.4,
  fluidTemperatureC: 86,
  program: 'calm',
  isPowerOn: true,
  disturbances: [],
} as unknown as ShiftRow;
const FLARE = { measure: 'flare', unit: 'rpm', value: 140.2, limit: 60 } as const;

const story = (shift: Partial<ShiftRow>, departures: ReportedShift['departures'], isBeyond = true) =>
  plain(shiftStory({ shift: { ...SHIFT, ...shift } as ShiftRow, departures, isBeyond, picture: null }));

describe('the story of a shift', () => {
  it('tells a flare against the line of the old gear', () => {
    expect(story({}, [FLARE])).toBe(
      'The input speed ran 140 rpm above the line of third gear for 0.42 s before the new clutch held (limit 60 rpm).',
    );
    expect(plain(shiftTitle(SHIFT))).toBe('Third to fourth at 12:04');
  });

  it('tells the overshoot of a downshift against the line of the new gear', () => {
    expect(story({ from: 4, to: 3, direction: 'down' }, [FLARE])).toBe(
      'The input speed ran 140 rpm above the line of third gear for 0.42 s (limit 60 rpm).',
    );
  });

  it('tells every grade that holds, and none that does not', () => {
    const tieUp = { measure: 'tie-up', unit: 'm/s²', value: 1.2, limit: 0.8 } as const;
    const jolt = { measure: 'harsh', unit: 'm/s³', value: 31.24, limit: 26 } as const;
    const told = story({ grades: ['tie-up'] }, [tieUp, jolt]);
    expect(told).toBe('Two clutches held at once and held the car back by 1.20 m/s² for a moment (limit 0.80 m/s²).');
    expect(story({ grades: ['incomplete', 'harsh'], syncS: null }, [jolt])).toBe(
      'Fourth gear was never reached. A jolt: the acceleration changed at up to 31.2 m/s³ (limit 26.0 m/s³ at this load).',
    );
  });

  it('of a clean shift says how near it came', () => {
    expect(story({ grades: ['clean'] }, [{ ...FLARE, value: 40 }], false)).toBe(
      'Within every limit of the grading policy. Nearest to one: the input speed above its line, 40 rpm (limit 60 rpm).',
    );
  });

  it('names its conditions and what makes it a poor witness', () => {
    expect(plain(conditionWords({ ...SHIFT, disturbances: ['brake'] }))).toBe(
      'Load 52 %, fluid 86 °C, program calm, power on. Measured less surely: the brake was pressed.',
    );
    expect(plain(conditionWords({ ...SHIFT, load: null, program: null }))).toBe(
      'Load not logged, fluid 86 °C, power on.',
    );
  });
});

describe('a comparison', () => {
  const now = { kind: 'estimate', events: 6, shifts: 30, vehicles: 1, rate: 0.2, low: 0.1, high: 0.37 } as const;
  const others = { kind: 'estimate', events: 9, shifts: 300, vehicles: 6, rate: 0.03, low: 0.01, high: 0.07 } as const;

  it('gives both rates with interval and counts, what would have been, and the verdict', () => {
    const row = { measure: 'flare', now, others, expected: 1.04, verdict: 'higher' } as const;
    expect(plain(rowWords(row, 'sameRevision'))).toBe(
      'Flare: 20 % (10 to 37 %; 6 of 30 shifts) now, 3.0 % (1.0 to 7.0 %; 9 of 300 shifts) on the earlier drives. At the rates of the earlier drives it would have been 1.0 shifts. More often now.',
    );
  });

  it('says that too few other cars could tell, and shows nothing of them', () => {
    const row = { measure: 'tie-up', now, others: null, expected: null, verdict: 'notTold' } as const;
    expect(rowWords(row, 'fleetRevision')).toBe('Tie-up: fewer than three other cars could tell, so nothing is shown.');
  });

  it.each([
    [
      { subject: 'fleetRevision', reason: 'tooFewCars', found: 2, needed: 3 },
      /^Only 2 other cars drove .* Fewer than 3/,
    ],
    [{ subject: 'fleetPlatform', reason: 'tooFewCars', found: 0, needed: 3 }, /^No other car drove/],
    [{ subject: 'sameRevision', reason: 'noSource', found: 0, needed: 1 }, /^There is no earlier drive/],
    [{ subject: 'otherRevisions', reason: 'noCommonPoint', found: 0, needed: 1 }, /^Earlier drives were at other/],
  ] as const)('that cannot be made says why: %o', (comparison, words) => {
    expect(plain(tooFewWords({ kind: 'tooFew', ...comparison }))).toMatch(words);
  });
});

describe('doubts', () => {
  const none = {
    disturbances: [],
    disturbedShifts: 0,
    cutShifts: 0,
    sampleFindings: null,
    readFindings: null,
    quality: null,
  };
  const total = { shifts: 40 } as Parameters<typeof doubtLines>[0]['total'];

  it('are none where nothing was found', () => {
    expect(doubtLines({ doubts: none, total })).toEqual([]);
  });

  it('say what was seen and what it does to the results', () => {
    const lines = doubtLines({
      total,
      doubts: {
        ...none,
        disturbances: [{ disturbance: 'brake', shifts: 3 }],
        disturbedShifts: 3,
        sampleFindings: {
          sampleCount: 1000,
          durationS: 100,
          medianIntervalS: 0.01,
          gaps: 1,
          longestGapS: 2,
          repeatedTimes: 0,
          stepsBack: 0,
          unreadableRatioS: 0,
          missingSignals: ['fluidTemperature'],
        },
        quality: {
          timing: {
            rateHz: 100,
            jitter: 0,
            longestIntervalS: 2,
            gaps: 1,
            repeatedTimes: 0,
            stepsBack: 0,
            longestStepBackS: 0,
            suitability: 'good',
            reason: '',
          },
          join: null,
          bus: null,
          findings: [
            {
              code: 'stuck',
              signal: 'load',
              severity: 'warning',
              message: 'load stood still for 90 s.',
              effect: 'The operating point cannot be trusted.',
            },
          ],
        },
      },
    }).map(plain);
    expect(lines).toEqual([
      '3 of 40 shifts were disturbed (the brake was pressed in 3). They are graded, but weigh less where corrections are estimated.',
      'Load stood still for 90 s. The operating point cannot be trusted.',
      '1 gap in the samples, the longest 2.00 s; no shift is read across one.',
      'Not in the log: fluid temperature. What needs them is not measured.',
    ]);
  });
});

import type { Band, CoverageGap, DriveRequest, GainReason, GapCar } from '@syncline/contract';
import { describe, expect, it } from 'vitest';
import { pointWords } from '../src/pages/report/wish-words.js';
import {
  askWords,
  carWords,
  lackWords,
  pointFigures,
  pointKey,
  progressWords,
  reasonWords,
  whyWords,
} from '../src/pages/requests/request-words.js';

const band = (index: number, low: number | null, high: number | null, label: string): Band => ({
  index,
  low,
  high,
  label,
});
const HALF = band(3, 45, 60, '45–60 %');
const WARM = band(2, 50, 80, '50–80 °C');

const REASON: GainReason = {
  shifts: 3,
  vehicles: 1,
  missingDialects: ['marram'],
  rate: 0.08,
  widthNow: 0.4,
  widthAfter: 0.3,
  usageShare: 0.021,
  probabilityAbove: 0.6,
  gain: 0.00126,
};
const aGap = (change: Partial<CoverageGap> = {}): CoverageGap => ({
  ...REASON,
  kind: '3-4',
  from: 3,
  to: 4,
  load: HALF,
  fluidTemperature: WARM,
  lacks: ['shifts', 'vehicles', 'dialects'],
  wantedShifts: 24,
  wantedVehicles: 2,
  openRequests: 0,
  ...change,
});
const aCar = (change: Partial<GapCar> = {}): GapCar => ({
  vehicleId: 'car',
  title: 'Camper van',
  ownerName: 'Thrift',
  dialect: 'marram',
  revisionLabel: 'Shore r1',
  lastDrivenAt: null,
  runs: 'runs',
  isActive: true,
  reach: 'there',
  bringsDialect: false,
  ownShifts: 0,
  gain: 0.1,
  widthAfter: 0.3,
  openRequests: 0,
  isSuitable: true,
  ...change,
});

describe('words for an operating point', () => {
  it.each([
    [{}, 'third to fourth at about half load with warm fluid'],
    [{ from: 6, to: 4, load: band(0, null, 15, '') }, 'sixth to fourth at hardly any load with warm fluid'],
    [
      { load: band(5, 75, null, ''), fluidTemperature: band(0, null, 20, '') },
      'third to fourth at heavy load with cold fluid',
    ],
    [
      { load: band(2, 30, 45, ''), fluidTemperature: band(4, 100, null, '') },
      'third to fourth at about a third of full load with very hot fluid',
    ],
  ])('of %j are %s', (change, words) => {
    expect(pointWords(aGap(change))).toBe(words);
  });

  it('end with how often one car is asked', () => {
    expect(askWords({ words: 'third to fourth at about half load', shiftsPerCar: 12 })).toBe(
      'Third to fourth at about half load, twelve times',
    );
    expect(askWords({ words: 'first to second', shiftsPerCar: 1 })).toBe('First to second, once');
  });

  it('stand beside its figures, with the program where one is asked for', () => {
    const point = { load: HALF, fluidTemperature: WARM, program: 'calm' };
    expect(pointFigures(point)).toBe('load 45–60 %, fluid 50–80 °C, program calm');
    expect(pointFigures({ ...point, program: null })).toBe('load 45–60 %, fluid 50–80 °C');
    expect(pointKey(aGap())).toBe('3-4.3.2');
  });
});

describe('words for a request', () => {
  it('say how far it is', () => {
    const request = { progress: { shifts: 7, vehicles: 1 }, wantedShifts: 12, wantedVehicles: 2 } as DriveRequest;
    expect(plain(progressWords(request))).toBe('7 of 12 shifts, 1 of 2 cars');
  });

  it('explain the gain with its figures', () => {
    expect(reasonWords(REASON, { askShifts: 12, rateBound: 0.05 }).map(plain)).toEqual([
      'The fleet has 3 shifts here, in 1 car; its flare rate is known to within 20 % either way.',
      'After 12 shifts of a further car to within 15 %.',
      'About 2.1 % of the fleet’s shifts fall here; with a probability of 60 % more than 5.0 % of them flare.',
    ]);
  });

  it('call a share next to nothing what it is', () => {
    const words = reasonWords({ ...REASON, usageShare: 0.0004 }, { askShifts: 12, rateBound: 0.05 });
    expect(plain(words[2] ?? '')).toMatch(/^Less than 0\.1 % of the fleet’s shifts fall here/);
  });

  it('tell the person who is asked why, in one breath', () => {
    expect(plain(whyWords(REASON))).toBe(
      'The fleet has 3 shifts here, in 1 car, none on the bus dialect marram. Until there is more, nobody can tell whether the map is right there.',
    );
    expect(whyWords({ ...REASON, shifts: 0, vehicles: 0 })).toMatch(/^The fleet has not driven here yet\./);
  });

  it.each([
    [['shifts', 'vehicles', 'dialects'], 'shifts, cars and dialect marram'],
    [['vehicles'], 'cars'],
    [['dialects'], 'dialect marram'],
  ] as const)('name what is lacking of %j', (lacks, words) => {
    expect(lackWords(aGap({ lacks: [...lacks] }))).toBe(words);
  });
});

describe('words for a car', () => {
  it.each([
    [{}, ['its logs reach such driving'], []],
    [
      { reach: 'beside', bringsDialect: true },
      ['its logs come close to such driving', 'brings the dialect marram'],
      [],
    ],
    [{ reach: 'no', isActive: false }, [], ['not driven for sixty days', 'no such driving in its logs']],
    [{ runs: 'mayNot' }, ['its logs reach such driving'], ['its bus dialect is not cleared']],
    [
      { runs: 'mayRun', openRequests: 1 },
      ['its logs reach such driving'],
      ['would have to be given the revision', 'has 1 open request'],
    ],
  ] as const)('that is %j say what speaks for and against it', (change, pro, contra) => {
    const words = carWords(aCar(change));
    expect({ pro: words.pro.map(plain), contra: words.contra.map(plain) }).toEqual({ pro, contra });
  });
});

/** With ordinary spaces. */
function plain(text: string): string {
  return text.replace(/[\u00a0\u202f]/g, ' ');
}

import { beforeAll, describe, expect, it } from 'vitest';
import { closeLoop, type LoopResult } from './close-loop.ts';
import { keptOf, readLoops, withLoop } from './kept-loops.ts';
import { DEFAULT_SETTING } from './loop-setting.ts';

/** A small loop against the simulator's truth; `npm run loop -- --all` runs whole ones. */
describe('a fleet that drives, and accepts every proposal', () => {
  let result: LoopResult;
  beforeAll(() => {
    result = closeLoop({ ...DEFAULT_SETTING, cars: 14, rounds: 3 });
  }, 120_000);

  it('flares less and less, and its map comes nearer to what the average car needs', () => {
    const [start, ...rounds] = result.rounds;
    expect(start.found.flare).toBeGreaterThan(0.08);
    for (const { found, mapError } of rounds) {
      expect(found.flare).toBeLessThan(start.found.flare);
      expect(mapError.rms).toBeLessThan(start.mapError.rms);
    }
    expect(rounds.at(-1)?.found.flare).toBeLessThan(start.found.flare / 3);
    expect(rounds.at(-1)?.mapError.median).toBeLessThan(start.mapError.median / 2);
  });

  it('binds and jerks no more for it', () => {
    for (const { found } of result.rounds) expect(found.tieUp + found.harsh).toBeLessThan(0.03);
  });

  it('makes only revisions that the layout lets through', () => {
    for (const { blockingFindings } of result.rounds) expect(blockingFindings).toBe(0);
  });

  it('says where the error that is left comes from', () => {
    const { byHold, byWay } = result.parts;
    const { places, rms } = result.rounds[3].mapError;
    for (const parts of [byHold, byWay]) {
      expect(parts.reduce((sum, { share }) => sum + share, 0)).toBeCloseTo(1, 9);
      expect(parts.reduce((sum, own) => sum + own.places, 0)).toBe(places.length);
    }
    const ups = places.filter(({ shift }) => Number(shift[2]) > Number(shift[0]));
    const squares = ups.reduce((sum, { ln }) => sum + ln * ln, 0);
    const share = byWay.find(({ name }) => name === 'upshifts')?.share;
    expect(share).toBeCloseTo(squares / (rms * rms * places.length), 9);
  });

  it('is kept beside other loops, in the place of an earlier run of the same', () => {
    const own = keptOf(result);
    const other = { ...own, seed: 2 };
    const again = { ...own, trimCorrelation: 0.5 };
    expect(withLoop([other, again], own)).toEqual([own, other]);
    expect(readLoops(`${JSON.stringify(own)}\n${JSON.stringify(other)}\n`)).toEqual([own, other]);
  });

  it('tells which cars need more than the others and which less', () => {
    expect(result.trimCorrelation).toBeGreaterThan(0.9);
  });
});

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  createScheduleReplay,
  type DriveSamples,
  defaultContent,
  movedShifts,
  type RevisionContent,
  replaySchedule,
  type TimedShift,
} from '../src/index.js';
import { refusalOf } from './refusal.js';
import { layout, linesWith, platform, programLayout, soundLines } from './schedule-example.js';

/** Samples every 0.1 s from [output speed, pedal, gear]. */
function driveOf(samples: [number, number, number][], parts: Partial<DriveSamples> = {}): DriveSamples {
  return {
    timeS: Float64Array.from(samples, (_, i) => i / 10),
    outputSpeed: Float64Array.from(samples, ([rpm]) => rpm),
    pedal: Float64Array.from(samples, ([, pedal]) => pedal),
    gear: Int8Array.from(samples, ([, , gear]) => gear),
    ...parts,
  };
}

/** From standstill up to 3000 rpm and back at the same pedal, 10 rpm a sample, always recorded in `gear`. */
function sweep(pedal: number, gear: number): DriveSamples {
  const rpm = Array.from({ length: 601 }, (_, i) => 10 * (i <= 300 ? i : 600 - i));
  return driveOf(rpm.map((speed) => [speed, pedal, gear]));
}

const replay = (drive: DriveSamples, options = {}, content: RevisionContent = linesWith()) =>
  replaySchedule(layout, platform, content, 'drive', drive, options);
const shiftsOf = (...question: Parameters<typeof replay>) =>
  replay(...question).shifts.map(({ kind, timeS }) => `${kind} ${timeS}`);

describe('replaySchedule', () => {
  it('commands each shift where the recorded drive meets its line', () => {
    // At 50 % pedal: up at 1000 and 1800 rpm, down at 1200 and 600 rpm. 100 rpm take 1 s.
    const { shifts } = replay(sweep(50, 1));
    expect(shifts).toEqual([
      { kind: '1-2', timeS: 10, pedal: 50, outputSpeedRpm: 1000 },
      { kind: '2-3', timeS: 18, pedal: 50, outputSpeedRpm: 1800 },
      { kind: '3-2', timeS: 48, pedal: 50, outputSpeedRpm: 1200 },
      { kind: '2-1', timeS: 54, pedal: 50, outputSpeedRpm: 600 },
    ]);
  });

  it('reads the lines off between break points', () => {
    // At 25 % pedal halfway between: up at 750 and 1400 rpm, down at 950 and 450 rpm.
    expect(shiftsOf(sweep(25, 1))).toEqual(['1-2 7.5', '2-3 14', '3-2 50.5', '2-1 55.5']);
  });

  it('follows its own gear and not the recorded one', () => {
    const recorded = driveOf([
      [900, 50, 1],
      [1000, 50, 1],
      [1100, 50, 1],
      [1900, 50, 1],
    ]);
    expect(shiftsOf(recorded, { dwellS: 0.1 })).toEqual(['1-2 0.1', '2-3 0.3']);
  });

  it('takes the downshift that goes furthest, and 0 rpm for never', () => {
    expect(shiftsOf(driveOf([[1150, 100, 3]]))).toEqual(['3-2 0']);
    expect(shiftsOf(driveOf([[1100, 100, 3]]))).toEqual(['3-1 0']);
    expect(shiftsOf(driveOf([[0, 0, 3]]))).toEqual(['3-2 0']);
  });

  it('waits the dwell out before the next shift', () => {
    const fast = driveOf([[2000, 50, 1], ...Array.from({ length: 30 }, (): [number, number, number] => [2000, 50, 1])]);
    expect(shiftsOf(fast)).toEqual(['1-2 0', '2-3 1']);
    expect(shiftsOf(fast, { dwellS: 2.5 })).toEqual(['1-2 0', '2-3 2.5']);
  });

  it('takes the recorded gear over again after neutral and after a gap', () => {
    const afterNeutral = replay(
      driveOf([
        [900, 50, 2],
        [900, 50, 0],
        [900, 50, 3],
        [900, 50, 2],
      ]),
    );
    expect(afterNeutral.shifts.map(({ kind }) => kind)).toEqual(['3-2']);
    expect([afterNeutral.takeoverCount, afterNeutral.undecidedCount]).toEqual([2, 1]);
    const samples: [number, number, number][] = [
      [900, 50, 2],
      [900, 50, 3],
    ];
    const gap = { timeS: [0, 5] };
    expect(shiftsOf(driveOf(samples, gap))).toEqual(['3-2 5']);
    expect(shiftsOf(driveOf(samples, gap), { longestGapS: 5 })).toEqual([]);
  });

  it('leaves out samples that say nothing, and counts them', () => {
    const drive = driveOf(
      [
        [900, 50, 0],
        [1500, 50, 1],
        [Number.NaN, 50, 1],
        [1500, Number.NaN, 1],
        [1500, 50, 1],
      ],
      { timeS: [0, 0, 0.1, 0.2, 0.3], gear: [-1, 1, 1, Number.NaN, Number.NaN] },
    );
    const { shifts, decidedCount, undecidedCount } = replay(drive);
    // Neutral; time that does not rise; no speed; no pedal. A missing gear alone is bridged.
    expect(shifts.map(({ timeS }) => timeS)).toEqual([0.3]);
    expect([decidedCount, undecidedCount]).toEqual([1, 4]);
  });

  it('gives the same when fed in stretches', () => {
    const whole = sweep(25, 1);
    fc.assert(
      fc.property(fc.array(fc.nat({ max: 601 }), { maxLength: 5 }), (cuts) => {
        const ends = [0, ...cuts.sort((a, b) => a - b), 601];
        const fed = createScheduleReplay(layout, platform, linesWith(), 'drive');
        for (let i = 1; i < ends.length; i++) {
          const part = (column: ArrayLike<number>) => Array.from(column).slice(ends[i - 1], ends[i]);
          const [timeS, pedal, outputSpeed] = [part(whole.timeS), part(whole.pedal), part(whole.outputSpeed)];
          fed.feed({ timeS, pedal, outputSpeed, gear: part(whole.gear) });
        }
        expect(fed.result()).toEqual(replay(whole));
      }),
    );
  });

  it('never commands two shifts within the dwell, and each from the gear that the last one led to', () => {
    const sample = fc.tuple(
      fc.integer({ min: 0, max: 3500 }),
      fc.integer({ min: 0, max: 100 }),
      fc.integer({ min: 1, max: 3 }),
    );
    fc.assert(
      fc.property(
        fc.array(sample, { minLength: 1, maxLength: 200 }),
        fc.integer({ min: 1, max: 20 }),
        (samples, tenths) => {
          const { shifts, takeoverCount } = replay(driveOf(samples), { dwellS: tenths / 10 });
          expect(takeoverCount).toBe(1);
          for (let i = 1; i < shifts.length; i++) {
            expect(shifts[i].timeS - shifts[i - 1].timeS).toBeGreaterThanOrEqual(tenths / 10 - 1e-9);
            expect(shifts[i].kind.split('-')[0]).toBe(shifts[i - 1].kind.split('-')[1]);
          }
        },
      ),
    );
  });
});

describe('replaySchedule by program', () => {
  const base = defaultContent(programLayout, platform);
  const later = { ...soundLines.up, '1-2': [500, 1300, 1700] };
  const lines = (calm: Record<string, readonly number[]>, brisk: Record<string, readonly number[]>) => ({
    axes: [[0, 50, 100]],
    values: Object.fromEntries(
      Object.keys(calm).flatMap((shift) => [
        [`${shift}/calm`, calm[shift]],
        [`${shift}/brisk`, brisk[shift]],
      ]),
    ),
  });
  const content = {
    ...base,
    tables: { up: lines(soundLines.up, later), down: lines(soundLines.down, soundLines.down) },
  };
  const drive = driveOf([
    [900, 50, 1],
    [1000, 50, 1],
    [1200, 50, 1],
    [1300, 50, 1],
  ]);
  const ask = (samples: DriveSamples, program?: string) =>
    replaySchedule(programLayout, platform, content, 'drive', samples, { program, dwellS: 0 }).shifts.map(
      ({ kind, timeS }) => `${kind} ${timeS}`,
    );

  it('goes by the recorded program, code by code, and decides nothing in an unknown one', () => {
    expect(ask({ ...drive, programCode: [0, 0, 0, 0] })).toEqual(['1-2 0.1']);
    expect(ask({ ...drive, programCode: [1, 1, 1, 1] })).toEqual(['1-2 0.3']);
    expect(ask({ ...drive, programCode: [1, 1, 0, 0] })).toEqual(['1-2 0.2']);
    expect(ask({ ...drive, programCode: [7, 7, Number.NaN, 0] })).toEqual(['1-2 0.3']);
  });

  it('goes by the program that is asked for', () => {
    expect(ask(drive, 'brisk')).toEqual(['1-2 0.3']);
    expect(ask({ ...drive, programCode: [0, 0, 0, 0] }, 'brisk')).toEqual(['1-2 0.3']);
  });

  it('is refused where nothing says the program, or the program is unknown', () => {
    expect(refusalOf(() => ask(drive))[0]).toBe('missingCoordinate');
    expect(refusalOf(() => ask(drive, 'tow'))[0]).toBe('missingVariant');
  });
});

describe('movedShifts', () => {
  const shift = (kind: string, timeS: number, outputSpeedRpm?: number): TimedShift => ({ kind, timeS, outputSpeedRpm });

  it('pairs shifts of one kind and tells how much later and faster each came', () => {
    const recorded = [shift('1-2', 3, 900), shift('2-3', 7), shift('3-2', 20, 700)];
    const replayed = [shift('1-2', 4.5, 1000), shift('2-3', 6.5, 1400), shift('2-1', 20, 700)];
    const { matched, onlyRecorded, onlyReplayed } = movedShifts(recorded, replayed, 2);
    expect(matched).toEqual([
      { kind: '1-2', recorded: recorded[0], replayed: replayed[0], laterS: 1.5, fasterRpm: 100 },
      { kind: '2-3', recorded: recorded[1], replayed: replayed[1], laterS: -0.5, fasterRpm: null },
    ]);
    expect(onlyRecorded).toEqual([recorded[2]]);
    expect(onlyReplayed).toEqual([replayed[2]]);
  });

  it('gives the nearest pairs first, so that a shift that did not move keeps its partner', () => {
    const recorded = [shift('1-2', 10), shift('1-2', 12)];
    const replayed = [shift('1-2', 12), shift('1-2', 13)];
    expect(movedShifts(recorded, replayed, 3).matched.map(({ laterS }) => laterS)).toEqual([3, 0]);
    expect(movedShifts(recorded, replayed, 2.9).onlyRecorded).toEqual([recorded[0]]);
  });

  it('takes a distance of exactly the tolerance', () => {
    expect(movedShifts([shift('1-2', 1)], [shift('1-2', 3)], 2).matched).toHaveLength(1);
  });

  it('uses every shift once, pairs none beyond the tolerance, and leaves none alone that had a partner', () => {
    const shifts = fc
      .array(fc.tuple(fc.constantFrom('1-2', '2-1'), fc.integer({ min: 0, max: 60 })), { maxLength: 15 })
      .map((entries) => entries.map(([kind, timeS]) => shift(kind, timeS)));
    fc.assert(
      fc.property(shifts, shifts, fc.integer({ min: 0, max: 20 }), (recorded, replayed, toleranceS) => {
        const moved = movedShifts(recorded, replayed, toleranceS);
        const used = (side: 'recorded' | 'replayed') => moved.matched.map((entry) => entry[side]);
        expect(new Set([...used('recorded'), ...moved.onlyRecorded])).toEqual(new Set(recorded));
        expect(used('recorded').length + moved.onlyRecorded.length).toBe(recorded.length);
        expect(used('replayed').length + moved.onlyReplayed.length).toBe(replayed.length);
        for (const { laterS } of moved.matched) expect(Math.abs(laterS)).toBeLessThanOrEqual(toleranceS);
        for (const one of moved.onlyRecorded) {
          const free = moved.onlyReplayed.filter((other) => other.kind === one.kind);
          expect(free.every((other) => Math.abs(other.timeS - one.timeS) > toleranceS)).toBe(true);
        }
      }),
    );
  });
});

import { existsSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import type { SignalBatch, SignalId } from '@syncline/drivelog';
import fc from 'fast-check';
import { describe, expect, it, onTestFinished } from 'vitest';
import { createSignalWriter, openSignalFile, type SignalFile, type SignalWindow } from '../../src/index.js';
import { temporaryFolder } from '../support/test-store.js';

const SIGNALS = ['inputSpeed', 'gear', 'load'] as const satisfies SignalId[];

interface Drive {
  readonly timeS: Float64Array;
  readonly signals: Record<(typeof SIGNALS)[number], Float64Array>;
}

/** A drive with a smooth signal, one of steps and one with gaps and lone peaks; its clock jumps as told. */
function aDrive(
  sampleCount: number,
  options: { jumps?: readonly { at: number; byS: number }[]; peaks?: readonly number[] } = {},
): Drive {
  const timeS = new Float64Array(sampleCount);
  let offsetS = 0;
  for (let i = 0; i < sampleCount; i++) {
    for (const jump of options.jumps ?? []) if (jump.at === i) offsetS += jump.byS;
    timeS[i] = Math.round((i * 0.01 + offsetS) * 1000) / 1000;
  }
  const load = timeS.map((_, i) => (i % 97 < 30 ? Number.NaN : (i % 50) / 8));
  for (const peak of options.peaks ?? []) load[peak % sampleCount] = 1000 + peak;
  return {
    timeS,
    signals: {
      inputSpeed: timeS.map((_, i) => 2000 * Math.sin(i / 300)),
      gear: timeS.map((_, i) => Math.floor(i / 777) % 6),
      load,
    },
  };
}

async function write(drive: Drive, batchSizes: readonly number[] = [5000]): Promise<string> {
  const path = join(temporaryFolder(), 'drive.signals');
  const writer = await createSignalWriter(path, SIGNALS);
  for (let start = 0, turn = 0; start < drive.timeS.length; turn++) {
    const end = start + batchSizes[turn % batchSizes.length];
    const signals = Object.fromEntries(SIGNALS.map((id) => [id, drive.signals[id].slice(start, end)]));
    await writer.append({ startIndex: start, timeS: drive.timeS.slice(start, end), signals });
    start = end;
  }
  await writer.close();
  return path;
}

async function openForTest(path: string): Promise<SignalFile> {
  const file = await openSignalFile(path);
  onTestFinished(() => file.close());
  return file;
}

/** The smallest or largest value of a run, NaN without one: what a pixel must show. */
function extreme(values: Float64Array, pick: (...numbers: number[]) => number): number {
  const present = values.filter((value) => !Number.isNaN(value));
  return present.length === 0 ? Number.NaN : present.reduce((a, b) => pick(a, b));
}

/** Every point against the samples themselves. */
function expectFaithful(window: SignalWindow, drive: Drive): void {
  const { startIndex, endIndex, samplesPerPoint } = window;
  const count = Math.ceil((endIndex - startIndex) / samplesPerPoint);
  expect(window.timeS).toHaveLength(count);
  for (const { signalId, min, max } of window.series) {
    const values = drive.signals[signalId as (typeof SIGNALS)[number]];
    const runs = Array.from({ length: count }, (_, i) => {
      const start = startIndex + i * samplesPerPoint;
      return values.subarray(start, Math.min(start + samplesPerPoint, endIndex));
    });
    expect([...min]).toEqual(runs.map((run) => extreme(run, Math.min)));
    expect([...max]).toEqual(runs.map((run) => extreme(run, Math.max)));
  }
  expect([...window.timeS]).toEqual(
    Array.from({ length: count }, (_, i) => drive.timeS[startIndex + i * samplesPerPoint]),
  );
}

describe('a signal file', () => {
  it('gives every sample back bit for bit, whatever the batches were', async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.integer({ min: 0, max: 20_000 }),
        fc.array(fc.integer({ min: 1, max: 9000 }), { minLength: 1, maxLength: 4 }),
        fc.nat(20_000),
        fc.nat(20_000),
        async (sampleCount, batchSizes, a, b) => {
          const drive = aDrive(sampleCount);
          const file = await openSignalFile(await write(drive, batchSizes));
          const [startIndex, endIndex] = [Math.min(a, b), Math.max(a, b)];
          const raw = await file.raw({ signalIds: SIGNALS, startIndex, endIndex });
          await file.close();
          expect(raw.timeS).toEqual(drive.timeS.slice(startIndex, endIndex));
          for (const id of file.signalIds) {
            expect(raw.signals[id]).toEqual(drive.signals[id as (typeof SIGNALS)[number]].slice(startIndex, endIndex));
          }
          expect(file.sampleCount).toBe(sampleCount);
        },
      ),
      { numRuns: 12 },
    );
  });

  it('loses no peak at any zoom: each point is the smallest and largest of its very samples', async () => {
    const drive = aDrive(50_000, { peaks: [0, 8191, 8192, 49_999, 12_345], jumps: [{ at: 20_000, byS: 30 }] });
    const file = await openForTest(await write(drive));
    await fc.assert(
      fc.asyncProperty(
        fc.double({ min: -10, max: 560, noNaN: true }),
        fc.double({ min: 0, max: 560, noNaN: true }),
        fc.integer({ min: 2, max: 3000 }),
        async (fromS, spanS, points) => {
          const toS = fromS + spanS;
          const window = await file.window({ signalIds: SIGNALS, fromS, toS, points });
          expectFaithful(window, drive);
          expect(window.timeS.length).toBeLessThanOrEqual(points);
          const inside = drive.timeS.reduce<number[]>((found, time, i) => {
            if (time >= fromS && time <= toS) found.push(i);
            return found;
          }, []);
          const isHeld = inside.every((i) => i >= window.startIndex && i < window.endIndex);
          expect(isHeld).toBe(true);
          expect(window.isRaw && window.endIndex - window.startIndex !== inside.length).toBe(false);
        },
      ),
      { numRuns: 60 },
    );
  });

  it('does not draw with far fewer points than were asked for', async () => {
    const file = await openForTest(await write(aDrive(50_000)));
    for (const points of [50, 100, 333, 1000, 2000]) {
      const window = await file.window({ signalIds: ['gear'], fromS: 0, toS: 1000, points });
      expect(window.timeS.length).toBeGreaterThan(points / 2);
    }
  });

  it('shows all between the first and the last sample of a window where the clock steps back', async () => {
    const drive = aDrive(30_000, { jumps: [{ at: 15_000, byS: -100 }] });
    const file = await openForTest(await write(drive));
    const range = await file.indexRange(60, 80);
    expect(range).toEqual({ startIndex: 6000, endIndex: 18_001 });
    const window = await file.window({ signalIds: ['load'], fromS: 60, toS: 80, points: 400 });
    expectFaithful(window, drive);
    expect(file.startS).toBe(0);
    expect(file.endS).toBe(199.99);
  });

  it('shows nothing of a window without samples', async () => {
    const drive = aDrive(1000, { jumps: [{ at: 500, byS: 60 }] });
    const file = await openForTest(await write(drive));
    for (const [fromS, toS] of [
      [10, 50],
      [900, 901],
      [-5, -1],
      [3, 2],
    ]) {
      const window = await file.window({ signalIds: ['gear'], fromS, toS, points: 10 });
      expect(window).toMatchObject({ isRaw: true, startIndex: 0, endIndex: 0 });
      expect(window.series[0].min).toHaveLength(0);
    }
  });

  it('without samples is a file all the same', async () => {
    const file = await openForTest(await write(aDrive(0)));
    expect(file).toMatchObject({ sampleCount: 0, startS: null, endS: null, signalIds: [] });
    expect((await file.window({ signalIds: ['gear'], fromS: 0, toS: 1, points: 10 })).timeS).toHaveLength(0);
  });

  it('names only signals that have values, and shows the others as missing', async () => {
    const path = join(temporaryFolder(), 'drive.signals');
    const writer = await createSignalWriter(path, ['gear', 'pedal', 'mark']);
    const batch = (startIndex: number, signals: SignalBatch['signals']): SignalBatch => ({
      startIndex,
      timeS: Float64Array.of(startIndex, startIndex + 1),
      signals,
    });
    await writer.append(batch(0, { gear: Float64Array.of(1, 2), mark: new Float64Array(2).fill(Number.NaN) }));
    await writer.append(batch(2, { pedal: Float64Array.of(5, 6) }));
    expect(await writer.close()).toEqual({ sampleCount: 4, startS: 0, endS: 3, signalIds: ['gear', 'pedal'] });
    const file = await openForTest(path);
    const raw = await file.raw({ signalIds: ['gear', 'pedal', 'mark', 'brake'], startIndex: 0, endIndex: 9 });
    expect(raw.signals).toEqual({
      gear: Float64Array.of(1, 2, Number.NaN, Number.NaN),
      pedal: Float64Array.of(Number.NaN, Number.NaN, 5, 6),
    });
    const window = await file.window({ signalIds: ['brake'], fromS: 0, toS: 3, points: 10 });
    expect([...window.series[0].max]).toEqual([Number.NaN, Number.NaN, Number.NaN, Number.NaN]);
  });

  it('is not there before it is whole, and leaves nothing when given up', async () => {
    const path = join(temporaryFolder(), 'drive.signals');
    const writer = await createSignalWriter(path, SIGNALS);
    await writer.append({ startIndex: 0, timeS: new Float64Array(10_000), signals: {} });
    expect(existsSync(path)).toBe(false);
    await writer.abort();
    expect(readdirSync(dirname(path))).toEqual([]);
    await expect(openSignalFile(path)).rejects.toMatchObject({ code: 'signal_file_missing' });
  });

  it('that was damaged anywhere is never read as if it were whole', async () => {
    const path = await write(aDrive(20_000));
    const intact = readFileSync(path);
    await fc.assert(
      fc.asyncProperty(fc.nat(intact.length - 9), fc.integer({ min: 1, max: 255 }), async (offset, change) => {
        const bytes = Buffer.from(intact);
        // The magic at the very beginning is for people; everything after it is checked.
        bytes[8 + offset] ^= change;
        writeFileSync(path, bytes);
        await expect(readEverything(path)).rejects.toMatchObject({ code: 'signal_file_damaged' });
      }),
      { numRuns: 60 },
    );
    writeFileSync(path, intact.subarray(0, intact.length - 1));
    await expect(readEverything(path)).rejects.toMatchObject({ code: 'signal_file_damaged' });
    writeFileSync(path, '');
    await expect(readEverything(path)).rejects.toMatchObject({ code: 'signal_file_damaged' });
  });
});

/** Reads every chunk of a file of 20 000 samples: the samples, then the entries of each level. */
async function readEverything(path: string): Promise<void> {
  const file = await openSignalFile(path);
  try {
    await file.raw({ signalIds: SIGNALS, startIndex: 0, endIndex: file.sampleCount });
    for (const points of [300, 60, 15, 4, 2]) {
      await file.window({ signalIds: SIGNALS, fromS: 0, toS: 1e6, points });
    }
  } finally {
    await file.close();
  }
}

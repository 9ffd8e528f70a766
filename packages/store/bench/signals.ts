import { mkdtempSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { SIGNAL_IDS, type SignalBatch, type SignalId } from '@syncline/drivelog';
import { createSignalWriter, openSignalFile } from '../src/index.js';
import { measure, record, report } from './measure.js';
import { seededRandom } from './seeded-random.js';

const SAMPLE_RATE_HZ = 100;
const BATCH_SIZE = 8192;

/** Values as a logger writes them: smooth, with noise, in two decimals. */
function makeBatch(
  startIndex: number,
  count: number,
  signalIds: readonly SignalId[],
  random: () => number,
): SignalBatch {
  const timeS = Float64Array.from(
    { length: count },
    (_, i) => Math.round(((startIndex + i) / SAMPLE_RATE_HZ) * 1e4) / 1e4,
  );
  const signals = Object.fromEntries(
    signalIds.map((signalId, column) => [
      signalId,
      timeS.map((time) => Math.round((1500 + 900 * Math.sin(time / (3 + column)) + 8 * random()) * 100) / 100),
    ]),
  );
  return { startIndex, timeS, signals };
}

/** Writes and reads a drive of 12 signals at 100 Hz, of one hour and of ten. */
export async function benchSignals(): Promise<void> {
  const folder = mkdtempSync(join(tmpdir(), 'syncline-bench-'));
  const signalIds = SIGNAL_IDS.slice(0, 12);
  try {
    for (const hours of [1, 10]) {
      const path = join(folder, `${hours}.signals`);
      const sampleCount = hours * 3600 * SAMPLE_RATE_HZ;
      const random = seededRandom(7);
      const began = performance.now();
      const writer = await createSignalWriter(path, signalIds);
      let makingMs = 0;
      for (let start = 0; start < sampleCount; start += BATCH_SIZE) {
        const beganMaking = performance.now();
        const batch = makeBatch(start, Math.min(BATCH_SIZE, sampleCount - start), signalIds, random);
        makingMs += performance.now() - beganMaking;
        await writer.append(batch);
      }
      const summary = await writer.close();
      if (summary.sampleCount !== sampleCount)
        throw new Error(`wrote ${summary.sampleCount} of ${sampleCount} samples`);
      const mebibytes = statSync(path).size / 2 ** 20;
      const perValue = statSync(path).size / (sampleCount * (signalIds.length + 1));
      const writeMs = performance.now() - began - makingMs;
      record(`write ${hours} h × 100 Hz × 12`, { writeMs, mebibytes });
      console.log(
        `write ${hours} h × 100 Hz × 12: ${writeMs.toFixed(0)} ms, ` +
          `${mebibytes.toFixed(1)} MiB, ${perValue.toFixed(2)} bytes a value`,
      );
      const seconds = sampleCount / SAMPLE_RATE_HZ;
      for (const [name, spanS] of [
        ['whole drive', seconds],
        ['tenth', seconds / 10],
        ['a minute', 60],
        ['4 s', 4],
      ] as const) {
        const fromS = (seconds - spanS) / 2;
        const timing = await measure(async () => {
          const file = await openSignalFile(path);
          const window = await file.window({ signalIds, fromS, toS: fromS + spanS, points: 1000 });
          await file.close();
          if (window.series.length !== 12 || window.timeS.length > 1000) throw new Error('unexpected window');
        });
        report(`window of ${name} of ${hours} h, 12 signals, 1000 points`, timing);
      }
    }
  } finally {
    rmSync(folder, { recursive: true });
  }
}

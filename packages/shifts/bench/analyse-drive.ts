import type { SignalBatch } from '@syncline/drivelog';
import { createShiftFinder } from '../src/index.js';
import { buildDrive, CAR, PLATFORM, type PlannedShift, slice, uniform } from '../test/drive-builder.js';

/**
 * Finds and measures the shifts of a made-up drive of 12 signals at 100 Hz, at two lengths, in batches as the readers
 * hand them over. One hour is made and driven again and again, its times going on.
 */
const RUNS = 7;
const SIZES_HOURS = [1, 6];
const BATCH_SAMPLES = 16_384;
const RATE_HZ = 100;
const HOUR_S = 3600;
const SECONDS_PER_SHIFT = 9;

const hour = makeHour();
console.log(`shifts of a drive, Node ${process.version}, median of ${RUNS} runs (fastest to slowest)`);
for (const hours of SIZES_HOURS) report(hours);

function report(hours: number): void {
  const times: number[] = [];
  let heldBytes = 0;
  const cpuBefore = process.cpuUsage();
  for (let run = 0; run < RUNS; run++) {
    const startMs = performance.now();
    heldBytes = Math.max(heldBytes, analyseHours(hours));
    times.push(performance.now() - startMs);
  }
  const { user, system } = process.cpuUsage(cpuBefore);
  times.sort((a, b) => a - b);
  const [fastest, median, slowest] = [times[0], times[RUNS >> 1], times[RUNS - 1]] as [number, number, number];
  const samples = hours * HOUR_S * RATE_HZ;
  console.log(
    [
      `${hours} h (${samples.toLocaleString('en')} samples, ${hours * hour.shiftCount} shifts)`,
      `${median.toFixed(0)} ms (${fastest.toFixed(0)} to ${slowest.toFixed(0)})`,
      `${((user + system) / 1000 / RUNS).toFixed(0)} ms of processor, ${((1e6 * median) / samples).toFixed(0)} ns per sample`,
      `${(heldBytes / 2 ** 20).toFixed(1)} MiB of arrays held`,
    ].join(' | '),
  );
}

/** Analyses and checks; answers the size of the typed arrays that the finder holds. */
function analyseHours(hours: number): number {
  const before = process.memoryUsage().arrayBuffers;
  const finder = createShiftFinder({ platform: PLATFORM, car: CAR });
  let found = 0;
  let held = 0;
  for (let n = 0; n < hours; n++) {
    for (const batch of hour.batches) {
      const timeS = n === 0 ? batch.timeS : batch.timeS.map((t) => t + n * HOUR_S);
      found += finder.push({ ...batch, startIndex: batch.startIndex + n * HOUR_S * RATE_HZ, timeS }).shifts.length;
    }
    held = Math.max(held, process.memoryUsage().arrayBuffers - before);
  }
  found += finder.end().shifts.length;
  // The first gear of a repeated hour differs from the last of the one before: one more change of gear, once each.
  const expected = hours * hour.shiftCount;
  if (found < expected || found > expected + hours - 1) throw new Error(`found ${found} shifts of ${expected}`);
  return held;
}

function makeHour(): { batches: SignalBatch[]; shiftCount: number } {
  const shifts = planShifts();
  const whole = buildDrive({
    durationS: HOUR_S,
    rateHz: RATE_HZ,
    startGear: 3,
    shifts,
    noiseRpm: { input: 6, output: 2 },
    signals: { converterDuty: (t) => (t % 60 < 40 ? Math.min(90, 9 + (t % 60) * 30) : 0) },
  });
  const starts = Array.from({ length: Math.ceil(whole.timeS.length / BATCH_SAMPLES) }, (_, i) => i * BATCH_SAMPLES);
  return { batches: starts.map((from) => slice(whole, from, from + BATCH_SAMPLES)), shiftCount: shifts.length };
}

/** A shift every nine seconds, up and down through the gears, three in ten with a flare. */
function planShifts(): PlannedShift[] {
  const random = uniform(20260301);
  const shifts: PlannedShift[] = [];
  let gear = 3;
  for (let commandS = 5; commandS + 5 < HOUR_S; commandS += SECONDS_PER_SHIFT) {
    const to = gear === 6 ? 5 : gear === 2 ? 3 : gear + (random() < 0.5 ? -1 : 1);
    shifts.push({ commandS, from: gear, to, flareRpm: random() < 0.3 ? 40 + 150 * random() : 0 });
    gear = to;
  }
  return shifts;
}

import { performance } from 'node:perf_hooks';
import { createCsvReader, inspectCsv, type SignalMap } from '../src/index.js';

/**
 * Decodes a made-up log of 12 columns at 100 Hz, at two lengths, in chunks of 64 KiB as an upload would bring them.
 * One hour is made and read again and again, so that the bench itself needs little memory.
 */
const RUNS = 5;
const CHUNK_BYTES = 1 << 16;
const ROWS_PER_HOUR = 360_000;
const SIZES_HOURS = [1, 6];

const HEADER =
  'time [s],engine speed [rpm],turbine speed [rpm],output shaft speed [rpm],gear,target gear,engine load [%],pedal [%],ATF temperature [°C],line pressure [kPa],TCC duty [%],battery voltage [V]\n';

interface MadeLog {
  readonly bytes: Uint8Array;
  /** Sum over all rows, to check what was read. */
  readonly inputSpeedSum: number;
}

console.log(`drivelog decode, Node ${process.version}, median of ${RUNS} runs (fastest to slowest)`);
const hour = makeHour();
const map = mapOf(hour.bytes);
for (const hours of SIZES_HOURS) report(hours);

function report(hours: number): void {
  const times: number[] = [];
  let peakBytes = 0;
  const cpuBefore = process.cpuUsage();
  for (let run = 0; run < RUNS; run++) {
    const startMs = performance.now();
    peakBytes = Math.max(peakBytes, readHours(hours));
    times.push((performance.now() - startMs) / 1000);
  }
  const { user, system } = process.cpuUsage(cpuBefore);
  const processorS = (user + system) / 1e6 / RUNS;
  times.sort((a, b) => a - b);
  const [fastest, median, slowest] = [times[0], times[RUNS >> 1], times[RUNS - 1]];
  const megabytes = (hour.bytes.length * hours) / 1e6;
  console.log(
    [
      `${hours} h (${(ROWS_PER_HOUR * hours).toLocaleString('en')} samples, ${megabytes.toFixed(0)} MB)`,
      `${median.toFixed(3)} s (${fastest.toFixed(3)} to ${slowest.toFixed(3)})`,
      `${(megabytes / median).toFixed(0)} MB/s, ${(megabytes / processorS).toFixed(0)} MB per processor second`,
      `${(peakBytes / 2 ** 20).toFixed(0)} MiB of arrays at most`,
    ].join(' | '),
  );
}

/** Reads and checks; answers the largest size of typed arrays seen beyond the log itself. */
function readHours(hours: number): number {
  const base = process.memoryUsage().arrayBuffers;
  let peakBytes = 0;
  let inputSpeedSum = 0;
  const reader = createCsvReader({ map, inspection: inspectCsv(hour.bytes) });
  const take = (batches: ReturnType<typeof reader.push>) => {
    for (const { signals } of batches) for (const value of signals.inputSpeed ?? []) inputSpeedSum += value;
    if (batches.length > 0) peakBytes = Math.max(peakBytes, process.memoryUsage().arrayBuffers - base);
  };
  const headerLength = new TextEncoder().encode(HEADER).length;
  for (let n = 0; n < hours; n++) {
    for (let i = n === 0 ? 0 : headerLength; i < hour.bytes.length; i += CHUNK_BYTES) {
      take(reader.push(hour.bytes.subarray(i, i + CHUNK_BYTES)));
    }
  }
  take(reader.end());
  const { sampleCount, damagedRows } = reader.findings();
  const expected = hour.inputSpeedSum * hours;
  if (sampleCount !== ROWS_PER_HOUR * hours || damagedRows > 0 || Math.abs(inputSpeedSum / expected - 1) > 1e-9) {
    throw new Error(
      `decoded ${sampleCount} samples, sum ${inputSpeedSum}; expected ${ROWS_PER_HOUR * hours}, ${expected}`,
    );
  }
  return peakBytes;
}

function mapOf(bytes: Uint8Array): SignalMap {
  const [time, ...others] = inspectCsv(bytes).columns;
  const ids = [
    'engineSpeed',
    'inputSpeed',
    'outputSpeed',
    'gear',
    'gearTarget',
    'load',
    'pedal',
    'fluidTemperature',
    'linePressure',
    'converterDuty',
    'supplyVoltage',
  ] as const;
  return {
    time: { column: time?.name ?? '', format: 'seconds' },
    signals: ids.map((signal, i) => ({ signal, column: others[i]?.name ?? '', unit: others[i]?.unit ?? '' })),
  };
}

function makeHour(): MadeLog {
  const random = mulberry32(20260301);
  const lines = [HEADER];
  let inputSpeedSum = 0;
  let speed = 1500;
  for (let i = 0; i < ROWS_PER_HOUR; i++) {
    speed = Math.min(6000, Math.max(700, speed + (random() - 0.5) * 40));
    const gear = 1 + (Math.floor(i / 3000) % 6);
    const input = (speed * 0.97).toFixed(1);
    inputSpeedSum += Number(input);
    lines.push(
      `${(i / 100).toFixed(3)},${speed.toFixed(1)},${input},${(speed / (1 + gear / 3)).toFixed(2)},${gear},${gear},${(random() * 100).toFixed(1)},${(random() * 100).toFixed(1)},${(60 + random() * 30).toFixed(1)},${(400 + random() * 900).toFixed(1)},${(random() * 100).toFixed(0)},${(13 + random()).toFixed(2)}\n`,
    );
  }
  return { bytes: new TextEncoder().encode(lines.join('')), inputSpeedSum };
}

/** Small seeded generator (T. Ettinger, public domain): the same log on every machine. */
function mulberry32(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

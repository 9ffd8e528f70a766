import {
  CaptureTrafficCounter,
  checkBusSignals,
  checkCapture,
  createLogReader,
  inspectLog,
  learnDialect,
  type SignalId,
  suggestSignalMap,
} from '@syncline/drivelog';
import { describe, expect, it } from 'vitest';
import {
  type BusDialect,
  busSignalsOf,
  type CandumpOptions,
  driveTern,
  KELP_BUS,
  MARRAM_BUS,
  STEADY_SAMPLING,
  TERN_BUSES,
  ternDrives,
  ternFleet,
  ternIdle,
  writeCandumpLog,
} from '../src/index.js';

const car = ternFleet('bus', 1)[0];
const options: CandumpOptions = { startUtcMs: Date.UTC(2026, 2, 1, 9), seed: 1 };

/** They come with every row; slower signals may jump between two of their frames. */
const SPEEDS: readonly SignalId[] = ['inputSpeed', 'outputSpeed', 'engineSpeed'];

function capture(log: ReturnType<typeof ternIdle>, bus: BusDialect, changed: Partial<CandumpOptions> = {}): Uint8Array {
  return new Uint8Array(Buffer.concat([...writeCandumpLog(log, bus, { ...options, ...changed })]));
}

function trafficsOf(bytes: Uint8Array) {
  const counter = new CaptureTrafficCounter();
  counter.push(bytes);
  return counter.end();
}

describe.each(TERN_BUSES)('a capture of the $title', (bus) => {
  const signals = busSignalsOf(bus);

  it('has a signal list without faults, whose names suggest every signal', () => {
    expect(checkBusSignals(signals)).toEqual([]);
    const columns = signals.map(({ name, unit }, index) => ({ index, name, label: name, unit: unit || null }));
    const suggested = suggestSignalMap({ columns, timeCandidates: [] }).signals.map(({ signal }) => signal);
    const carried = bus.frames.flatMap((frame) => frame.signals.map(({ signal }) => signal));
    expect([...suggested].sort()).toEqual([...carried].sort());
  });

  it('is read to the drive that it was written from, each speed to half a step of the bus', () => {
    const plan = { ...ternDrives('bus', 1, 1)[0], durationS: 60 };
    const { log } = driveTern(plan, { ...car, sampling: { ...STEADY_SAMPLING, jitter: 0 } });
    const bytes = capture(log, bus, { jitter: 0 });
    const inspection = inspectLog(bytes, { candump: { busSignals: signals } });
    const { map } = suggestSignalMap(inspection);
    const reader = createLogReader({ inspection, map: map as NonNullable<typeof map>, batchSize: 100_000 });
    const [batch] = [...reader.push(bytes), ...reader.end()];
    expect(reader.findings()).toMatchObject({ damagedRows: 0, startInstant: { utcMs: options.startUtcMs } });
    expect(batch.timeS.length).toBeGreaterThan(5900);
    const speeds = bus.frames
      .flatMap((frame) => frame.signals)
      .filter(({ signal }) => SPEEDS.includes(signal))
      .map(({ signal, scale }) => ({ scale, written: log.signals[signal], read: batch.signals[signal] }));
    for (const { scale, written, read } of speeds) {
      const errors = (read as Float64Array).map((value, i) => Math.abs(value - (written?.[i] ?? NaN)));
      expect(Math.max(...errors)).toBeLessThanOrEqual(scale / 2 + 1e-9);
    }
  });
});

it('most identifiers of the two buses are the same, and some are sent another way', () => {
  const [kelp, marram] = [KELP_BUS, MARRAM_BUS].map(
    (bus) => new Map(bus.frames.map((entry) => [entry.identifier, entry])),
  );
  const shared = [...kelp.keys()].filter((identifier) => marram.has(identifier));
  expect(shared.length).toBeGreaterThan(0.8 * kelp.size);
  const differing = shared.filter((identifier) => {
    const [a, b] = [kelp.get(identifier), marram.get(identifier)];
    return a?.periodS !== b?.periodS || a?.length !== b?.length;
  });
  expect(differing.map((identifier) => identifier.toString(16))).toEqual(['1a8', '2c4', '4f0']);
});

it('captures of idling cars with 5 % lost frames and 10 % jitter tell which bus it is, each time', () => {
  const idle = ternIdle(car, 30);
  const profiles = TERN_BUSES.map((bus) =>
    learnDialect(
      bus.id,
      [1, 2].map((seed) => trafficsOf(capture(idle, bus, { seed: `learn ${seed}` }))[0]),
    ),
  );
  for (let trial = 0; trial < 20; trial++) {
    const bus = TERN_BUSES[trial % 2];
    const bytes = capture(idle, bus, { seed: trial, jitter: 0.1, lostShare: 0.05 });
    expect(checkCapture(trafficsOf(bytes), profiles)).toMatchObject({ observed: bus.id, doubt: null });
  }
});

it('the same seed gives the same bytes', () => {
  const idle = ternIdle(car, 2);
  expect(capture(idle, KELP_BUS)).toEqual(capture(idle, KELP_BUS));
  expect(capture(idle, KELP_BUS)).not.toEqual(capture(idle, KELP_BUS, { seed: 2 }));
});

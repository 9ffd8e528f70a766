import { type BusDialect, TERN_PLATFORM, ternFleet, ternIdle, writeCandumpLog } from '@syncline/drivetrain';
import { CAR } from './club.js';

const idle = ternIdle(ternFleet('captures', 1)[0], 30);

/** Half a minute of an idling car's bus; each seed gives other bytes. */
export function busCapture(bus: BusDialect, seed: string | number, durationS = 30): Buffer {
  const options = { seed, startUtcMs: Date.UTC(2026, 1, 20, 10), jitter: 0.05, lostShare: 0.01, durationS };
  return Buffer.concat([...writeCandumpLog(idle, bus, options)]);
}

/** A car with the Tern. */
export const TERN_CAR = { ...CAR, platformId: TERN_PLATFORM.id, declaredDialect: null };

/** The map that the names in the signal list suggest. */
export function busMap(bus: BusDialect) {
  const signals = bus.frames.flatMap((frame) =>
    frame.signals.map(({ signal, name, unit }) => ({ signal, column: name, unit })),
  );
  return { time: { column: 'time', format: 'seconds' }, signals };
}

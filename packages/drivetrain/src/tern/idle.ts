import type { Car } from '../car.js';
import { makeRandom } from '../random.js';
import type { DriveLog } from '../sample-log.js';

const RATE_HZ = 50;
/** In neutral the turbine follows the engine but for drag (common practice). */
const TURBINE_SHARE = 0.97;

/** What a car's bus carries while it stands in neutral with the engine idling: enough to tell its dialect by. */
export function ternIdle(car: Car, durationS: number): DriveLog {
  const random = makeRandom(`idle:${car.id}`);
  const count = Math.round(durationS * RATE_HZ);
  const column = (value: () => number) => Float64Array.from({ length: count }, value);
  const engineSpeed = column(() => Math.round(car.engine.idleRpm + 6 * random.gaussian()));
  return {
    timeS: Float64Array.from({ length: count }, (_, i) => i / RATE_HZ),
    signals: {
      engineSpeed,
      inputSpeed: engineSpeed.map((rpm) => Math.round(TURBINE_SHARE * rpm + 3 * random.gaussian())),
      outputSpeed: column(() => 0),
      gear: column(() => 0),
      gearTarget: column(() => 0),
      load: column(() => 6 + 0.4 * random.gaussian()),
      pedal: column(() => 0),
      brake: column(() => 1),
      fluidTemperature: column(() => 45),
      program: column(() => 2),
      applyPressure: column(() => 0),
      linePressure: column(() => 420),
      converterDuty: column(() => 0),
      supplyVoltage: column(() => 13.8 + 0.05 * random.gaussian()),
      valveOn: column(() => 0),
    },
    gaps: [],
  };
}

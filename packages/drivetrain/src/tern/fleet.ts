import { type Car, type Sampling, STEADY_SAMPLING, USUAL_SENSORS } from '../car.js';
import type { LogDialect } from '../dialect.js';
import { makeRandom, type Random } from '../random.js';
import { KELP_DIALECT, MARRAM_DIALECT } from './dialects.js';
import { TERN_PLATFORM } from './platform.js';

/** Shore plants lend the testers their names. */
const TESTERS = [
  'Thrift',
  'Samphire',
  'Campion',
  'Orache',
  'Glasswort',
  'Sandwort',
  'Saltwort',
  'Spurrey',
  'Purslane',
  'Stonecrop',
  'Tamarisk',
  'Lavender',
  'Plantain',
  'Buckthorn',
  'Cordgrass',
  'Lyme',
  'Rocket',
  'Aster',
  'Kale',
  'Holly',
  'Fescue',
  'Bindweed',
  'Beet',
  'Sedge',
] as const;

/** Places in the fleet of cars with a story; a smaller fleet leaves out those beyond its count. */
const WORN_CAR = 7;
const LYING_CAR = 10;
const HELD_VALVE_CAR = 4;
const FAULTY_CLOCK_CAR = 13;

/** Sampling rates (Hz) in turn. */
const RATES = [50, 40, 100, 50, 50, 25, 50, 100, 20, 50, 40, 50] as const;

/**
 * The cars of the demo: campervans and pick-ups with the Tern, no two alike. Every other one speaks the Kelp dialect.
 * The eighth has a worn clutch E (flares in 3-4 whatever the map), the eleventh is declared as Marram but speaks Kelp, the
 * fifth holds its shift valve on too long, the fourteenth has a logger whose clock steps back.
 */
export function ternFleet(seed: string | number, count: number = TESTERS.length): Car[] {
  return Array.from({ length: count }, (_, index) => makeCar(makeRandom(`fleet:${seed}:${index}`), index));
}

function makeCar(random: Random, index: number): Car {
  const isVan = random.uniform() < 0.55;
  const dialect = index % 2 === 0 ? KELP_DIALECT : MARRAM_DIALECT;
  const tester =
    index < TESTERS.length
      ? TESTERS[index]
      : `${TESTERS[index % TESTERS.length]} ${Math.floor(index / TESTERS.length) + 1}`;
  return {
    id: `tern-${String(index + 1).padStart(2, '0')}`,
    tester,
    title: isVan ? 'Campervan' : 'Pick-up',
    vehicle: isVan
      ? {
          massKg: Math.round(random.between(2400, 2900)),
          tyreRadiusM: 0.35,
          finalDriveRatio: 3.9,
          rollingCoefficient: 0.012,
          dragAreaM2: random.between(1.8, 2.2),
        }
      : {
          massKg: Math.round(random.between(2050, 2400)),
          tyreRadiusM: 0.37,
          finalDriveRatio: 3.7,
          rollingCoefficient: 0.013,
          dragAreaM2: random.between(1.2, 1.5),
        },
    engine: {
      peakTorqueNm: Math.round(random.between(340, 430)),
      bestSpeedRpm: random.between(2050, 2400),
      idleRpm: random.pick([780, 800, 820]),
      governedRpm: 4300,
      inertiaKgM2: random.between(0.19, 0.25),
      torqueLagS: random.between(0.1, 0.16),
    },
    converter: {
      stallCapacity: random.between(0.0057, 0.0067),
      stallTorqueRatio: random.between(1.75, 1.95),
      couplingPoint: 0.88,
      overrunCapacity: 0.6,
    },
    inputInertiaKgM2: random.between(0.18, 0.22),
    clutchGain: clutchGains(random, index),
    fillBias: Math.exp(0.07 * random.gaussian()),
    lagBias: Math.exp(0.1 * random.gaussian()),
    torqueSignalGain: Math.exp(0.025 * random.gaussian()),
    valveHoldS: index === HELD_VALVE_CAR ? 1.8 : 0.25,
    sensors: USUAL_SENSORS,
    sampling: samplingOf(random, index),
    dialect,
    declaredDialectId: index === LYING_CAR ? MARRAM_DIALECT.id : dialect.id,
  };
}

function clutchGains(random: Random, index: number): Record<string, number> {
  const common = 0.03 * random.gaussian();
  const gains = TERN_PLATFORM.clutches.map(({ id }) => [id, Math.exp(common + 0.05 * random.gaussian())] as const);
  return { ...Object.fromEntries(gains), ...(index === WORN_CAR ? { E: 0.76 } : {}) };
}

function samplingOf(random: Random, index: number): Sampling {
  return {
    ...STEADY_SAMPLING,
    rateHz: RATES[index % RATES.length],
    jitter: random.between(0.01, 0.08),
    missedShare: random.pick([0, 0.001, 0.004]),
    repeatedTimeShare: random.pick([0, 0, 0.002]),
    gapsPerHour: random.pick([0, 0, 2, 5]),
    gapS: 1.5,
    clockStepsPerHour: index === FAULTY_CLOCK_CAR ? 8 : 0,
  };
}

/** The dialects that cars of the Tern speak. */
export const TERN_DIALECTS: readonly LogDialect[] = [MARRAM_DIALECT, KELP_DIALECT];

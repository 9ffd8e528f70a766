import {
  type Car,
  type Gearbox,
  MARRAM_DIALECT,
  makeRandom,
  type Random,
  STEADY_SAMPLING,
  USUAL_SENSORS,
} from '@syncline/drivetrain';
import type { CarFacts } from '@syncline/shifts';
import type { LoopSetting } from './loop-setting.ts';

/** Standard deviations of ln clutch gain: of a car, its trim, and of a clutch within it. */
const TRIM_SD = 0.06;
const CLUTCH_SD = 0.02;

/** A car as it is, and what its owner's profile says. */
export interface LoopCar {
  readonly car: Car;
  readonly facts: CarFacts;
  /** ln of torque that it needs over the design's. */
  readonly trimLn: number;
}

/** Cars of which nothing is known to the method but their profiles. */
export function makeCars(gearbox: Gearbox, { seed, cars, profileError }: LoopSetting): LoopCar[] {
  return Array.from({ length: cars }, (_, j) => {
    const random = makeRandom(`loop car:${seed}:${j}`);
    const trimLn = TRIM_SD * random.gaussian();
    const car = makeCar(gearbox, `car-${String(j).padStart(2, '0')}`, random, trimLn);
    return { car, trimLn, facts: profileOf(gearbox, car, random, profileError) };
  });
}

function makeCar({ platform }: Gearbox, id: string, random: Random, trimLn: number): Car {
  const rated = platform.ratedInputTorqueNm;
  return {
    id,
    tester: id,
    title: id,
    vehicle: {
      massKg: random.between(2150, 2850),
      tyreRadiusM: 0.36,
      finalDriveRatio: 3.8,
      rollingCoefficient: 0.012,
      dragAreaM2: random.between(1.2, 2.1),
    },
    engine: {
      peakTorqueNm: rated * random.between(0.85, 1.07),
      bestSpeedRpm: random.between(2050, 2400),
      idleRpm: 800,
      governedRpm: 4300,
      inertiaKgM2: random.between(0.19, 0.25),
      torqueLagS: random.between(0.1, 0.16),
    },
    converter: {
      stallCapacity: (rated / 400) * random.between(0.0057, 0.0067),
      stallTorqueRatio: random.between(1.75, 1.95),
      couplingPoint: 0.88,
      overrunCapacity: 0.6,
    },
    inputInertiaKgM2: random.between(0.18, 0.22),
    clutchGain: Object.fromEntries(
      platform.clutches.map((clutch) => [clutch.id, Math.exp(CLUTCH_SD * random.gaussian() - trimLn)]),
    ),
    fillBias: Math.exp(0.07 * random.gaussian()),
    lagBias: Math.exp(0.1 * random.gaussian()),
    torqueSignalGain: Math.exp(0.025 * random.gaussian()),
    valveHoldS: 0.25,
    sensors: USUAL_SENSORS,
    sampling: { ...STEADY_SAMPLING, rateHz: random.pick([50, 100, 100]), jitter: 0.05 },
    dialect: MARRAM_DIALECT,
    declaredDialectId: MARRAM_DIALECT.id,
  };
}

function profileOf({ platform }: Gearbox, car: Car, random: Random, error: number): CarFacts {
  const wrong = () => random.between(1 - error, 1 + error);
  return {
    ratedInputTorqueNm: platform.ratedInputTorqueNm * wrong(),
    inputInertiaKgM2: car.inputInertiaKgM2 * wrong(),
    tyreRadiusM: car.vehicle.tyreRadiusM,
    finalDriveRatio: car.vehicle.finalDriveRatio,
  };
}

/** The car that is in the middle of a fleet in all that matters to a shift: what a shared map has to suit. */
export function averageCar(fleet: readonly LoopCar[]): Car {
  const cars = fleet.map(({ car }) => car);
  const first = cars[0];
  const mean = (of: (car: Car) => number) => cars.reduce((sum, car) => sum + of(car), 0) / cars.length;
  const middle = (of: (car: Car) => number) => Math.exp(mean((car) => Math.log(of(car))));
  return {
    ...first,
    id: 'average',
    vehicle: {
      ...first.vehicle,
      massKg: mean((car) => car.vehicle.massKg),
      dragAreaM2: mean((car) => car.vehicle.dragAreaM2),
    },
    engine: {
      ...first.engine,
      peakTorqueNm: mean((car) => car.engine.peakTorqueNm),
      bestSpeedRpm: mean((car) => car.engine.bestSpeedRpm),
      inertiaKgM2: mean((car) => car.engine.inertiaKgM2),
      torqueLagS: mean((car) => car.engine.torqueLagS),
    },
    converter: {
      ...first.converter,
      stallCapacity: mean((car) => car.converter.stallCapacity),
      stallTorqueRatio: mean((car) => car.converter.stallTorqueRatio),
    },
    inputInertiaKgM2: mean((car) => car.inputInertiaKgM2),
    clutchGain: Object.fromEntries(
      Object.keys(first.clutchGain).map((id) => [id, middle((car) => car.clutchGain[id])]),
    ),
    fillBias: middle((car) => car.fillBias),
    lagBias: middle((car) => car.lagBias),
    torqueSignalGain: middle((car) => car.torqueSignalGain),
  };
}

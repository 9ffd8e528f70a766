import type { Platform } from '@syncline/calibration';
import {
  type Car,
  type Gearbox,
  gearboxFromRatios,
  KELP_DIALECT,
  STEADY_SAMPLING,
  USUAL_SENSORS,
} from '@syncline/drivetrain';
import type { VehicleProfile } from '@syncline/store';

/** Hardware of a usual clutch; what it commands is found relative to what such a clutch needs, so that its gain has no part. */
const USUAL_CLUTCH = { gainNmPerKpa: 0.6, fillTimeS: 0.14 };

/** A gearbox for the bench with the ratios of the platform. Throws where a shift exchanges more than one clutch for one. */
export function benchGearbox(platform: Platform, returnPressureKpa: number): Gearbox {
  return gearboxFromRatios(
    platform,
    platform.clutches.map(({ id }) => ({ id, returnPressureKpa, ...USUAL_CLUTCH })),
  );
}

/** A car for the bench: what its profile declares, and a usual diesel and converter where that says nothing. */
export function benchCar(vehicleId: string, profile: VehicleProfile): Car {
  return {
    id: vehicleId,
    tester: '',
    title: profile.title,
    vehicle: {
      massKg: profile.massKg,
      tyreRadiusM: profile.tyreRadiusM,
      finalDriveRatio: profile.finalDriveRatio,
      rollingCoefficient: 0.012,
      dragAreaM2: 1.6,
    },
    engine: {
      peakTorqueNm: profile.ratedInputTorqueNm,
      bestSpeedRpm: 2200,
      idleRpm: 800,
      governedRpm: 4300,
      inertiaKgM2: 0.22,
      torqueLagS: 0.13,
    },
    converter: { stallCapacity: 0.0062, stallTorqueRatio: 1.85, couplingPoint: 0.88, overrunCapacity: 0.6 },
    inputInertiaKgM2: profile.inputInertiaKgM2,
    clutchGain: {},
    fillBias: 1,
    lagBias: 1,
    torqueSignalGain: 1,
    valveHoldS: 0.25,
    sensors: USUAL_SENSORS,
    sampling: STEADY_SAMPLING,
    dialect: KELP_DIALECT,
    declaredDialectId: KELP_DIALECT.id,
  };
}

import type { VehicleResponse } from '@syncline/contract';
import { type Car, type PlannedDrive, TERN_PLATFORM, type TernRevision } from '@syncline/drivetrain';
import { joinClub, type Member } from './found-club.js';

/** A car of the invented fleet with its owner. */
export interface EnteredCar {
  readonly car: Car;
  readonly owner: Member;
  readonly vehicleId: string;
}

const DAY_MS = 24 * 3600_000;

/** Signs its owner up, enters the car, observes its dialect, and notes what it ran from when on. */
export async function enterCar(options: {
  readonly baseUrl: string;
  readonly maintainer: Member;
  readonly car: Car;
  /** Of this car, in the order of time. */
  readonly drives: readonly PlannedDrive[];
  readonly revisionIds: ReadonlyMap<TernRevision, string>;
  /** Midnight before the first day of the story. */
  readonly storyStartMs: number;
}): Promise<EnteredCar> {
  const { baseUrl, maintainer, car, drives, revisionIds, storyStartMs } = options;
  const owner = await joinClub(baseUrl, maintainer, car.tester, 'tester');
  const { id: vehicleId } = await owner.client.post<VehicleResponse>('/vehicles', profileOf(car));
  const { dialectVerdict } = await maintainer.client.post<VehicleResponse>(`/vehicles/${vehicleId}/observations`, {
    dialect: car.dialect.id,
    source: 'capture',
    note: `Thirty seconds of bus traffic, ignition on: it speaks ${car.dialect.title}.`,
  });
  // What a car of another dialect than declared may run is the maintainer's to say.
  const installer = dialectVerdict === 'confirmed' ? owner : maintainer;
  for (const [revision, day] of firstDays(drives)) {
    await installer.client.post(`/vehicles/${vehicleId}/installations`, {
      revisionId: revisionIds.get(revision),
      sinceAt: new Date(storyStartMs + day * DAY_MS).toISOString(),
    });
  }
  return { car, owner, vehicleId };
}

function firstDays(drives: readonly PlannedDrive[]): Map<TernRevision, number> {
  const days = new Map<TernRevision, number>();
  for (const { revision, day } of drives) if (!days.has(revision)) days.set(revision, day);
  return days;
}

function profileOf(car: Car) {
  return {
    title: `${car.title} of ${car.tester}`,
    platformId: TERN_PLATFORM.id,
    declaredDialect: car.declaredDialectId,
    engine: `${car.engine.peakTorqueNm} N·m at ${Math.round(car.engine.bestSpeedRpm / 50) * 50} rpm`,
    massKg: car.vehicle.massKg,
    ratedInputTorqueNm: TERN_PLATFORM.ratedInputTorqueNm,
    inputInertiaKgM2: TERN_PLATFORM.inputInertiaKgM2,
    tyreRadiusM: car.vehicle.tyreRadiusM,
    finalDriveRatio: car.vehicle.finalDriveRatio,
  };
}

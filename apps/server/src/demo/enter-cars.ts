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

/** Signs its owner up and enters the car. */
export async function enterCar(baseUrl: string, maintainer: Member, car: Car): Promise<EnteredCar> {
  const owner = await joinClub(baseUrl, maintainer, car.tester, 'tester');
  const { id: vehicleId } = await owner.client.post<VehicleResponse>('/vehicles', profileOf(car));
  return { car, owner, vehicleId };
}

/** Notes what a car ran from when on. */
export async function installRevisions(
  { owner, vehicleId }: EnteredCar,
  options: {
    /** Of this car, in the order of time. */
    readonly drives: readonly PlannedDrive[];
    readonly revisionIds: ReadonlyMap<TernRevision, string>;
    /** Midnight before the first day of the story. */
    readonly storyStartMs: number;
  },
): Promise<void> {
  for (const [revision, day] of firstDays(options.drives)) {
    await owner.client.post(`/vehicles/${vehicleId}/installations`, {
      revisionId: options.revisionIds.get(revision),
      sinceAt: new Date(options.storyStartMs + day * DAY_MS).toISOString(),
    });
  }
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

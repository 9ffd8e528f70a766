import { setTimeout as sleep } from 'node:timers/promises';
import type { LogResponse, SignalMapDocument, VehicleResponse } from '@syncline/contract';
import { type Car, driveTern, ternDrives, ternFleet, writeCsvLog } from '@syncline/drivetrain';
import { Api } from '../support/api.ts';
import { approvedRevisions } from '../support/approved-revisions.ts';
import {
  concatenate,
  foundTernClub,
  joinClub,
  profileOf,
  type TernClub,
  uploadFile,
  waitForState,
} from '../support/tern-club.ts';
import type { LoadSetting } from './load-setting.ts';

/** Cars that differ; testers have one of them each. */
const CAR_KINDS = 8;
/** Drives of each kind of car: the first for a start, the others to be uploaded. */
const DRIVES_OF_KIND = 6;
/** Members who join at once. */
const LANES = 4;

/** A member with a car, a drive that was analysed and drives that are still to be uploaded. */
export interface LoadTester {
  readonly api: Api;
  readonly vehicleId: string;
  readonly logId: string;
  readonly files: readonly Uint8Array<ArrayBuffer>[];
}

/** Founds the club through the API, as its people would, and waits until every first drive is analysed. */
export async function foundLoadClub(
  baseUrl: string,
  { testers: testerCount, driveS }: Pick<LoadSetting, 'testers' | 'driveS'>,
  tell: (text: string) => void,
): Promise<readonly LoadTester[]> {
  tell('driving');
  const kinds = ternFleet(1, Math.min(CAR_KINDS, testerCount)).map((car) => ({ car, files: filesOf(car, driveS) }));
  tell('founding the club');
  const club = await foundTernClub(baseUrl);
  const { maintainer, revisionId } = club;
  const testers: LoadTester[] = [];
  const maps = new Map<string, SignalMapDocument>();
  // The first of each dialect agrees to what the server takes the columns for; the others say the same.
  const join = async (index: number) => {
    const { car, files } = kinds[index % kinds.length]!;
    const api = await joinTester(maintainer, index);
    const { id: vehicleId } = await api.post<VehicleResponse>('/vehicles', {
      ...profileOf(car),
      title: `Car ${index}`,
    });
    await maintainer.post(`/vehicles/${vehicleId}/observations`, {
      dialect: car.dialect.id,
      source: 'capture',
      note: 'seen',
    });
    await api.post(`/vehicles/${vehicleId}/installations`, { revisionId, sinceAt: '2026-01-01T00:00:00Z' });
    const known = maps.get(car.dialect.id);
    if (known) await api.put(`/vehicles/${vehicleId}/signal-map`, known);
    const { id: logId } = await uploadFile(api, vehicleId, files[0]!, 'first.csv');
    if (!known) {
      const { inspection } = await waitForState(api, logId, ['awaitingMap']);
      const map = inspection?.suggestion as SignalMapDocument;
      maps.set(car.dialect.id, map);
      await api.put(`/vehicles/${vehicleId}/signal-map`, map);
    }
    testers.push({ api, vehicleId, logId, files: files.slice(1) });
  };
  const rest = Array.from({ length: testerCount }, (_, index) => index).values();
  for (let index = 0; index < Math.min(CAR_KINDS, testerCount); index++) await join(rest.next().value!);
  await Promise.all(
    Array.from({ length: LANES }, async () => {
      for (const index of rest) await join(index);
    }),
  );
  for (const [index, { api, logId }] of testers.entries()) {
    await ready(api, logId);
    if (index % 20 === 0) tell(`${index} of ${testerCount} first drives analysed`);
  }
  await releaseToHalf(club);
  return testers;
}

/** A release is on its way: half of the cars are offered it. */
async function releaseToHalf(club: TernClub): Promise<void> {
  const [revision] = await approvedRevisions(club);
  const stages = [0.5, 1].map((share) => ({ size: { kind: 'share', share }, minShifts: 100, minVehicles: 5 }));
  const asked = { revisionId: revision!.id, replacesId: club.revisionId, words: 'Firmer.', cohort: {}, stages };
  const { id } = await club.maintainer.post<{ id: string }>('/releases', asked);
  await club.maintainer.post(`/releases/${id}/acts`, { act: 'start' });
}

function joinTester(maintainer: Api, index: number): Promise<Api> {
  const person = {
    name: `Tester ${index}`,
    email: `tester-${index}@club.test`,
    password: `tester ${index} on the shore`,
  };
  // Everybody is at home somewhere else: limits on guessing go by addresses.
  return joinClub(maintainer, 'tester', person, new Api(maintainer.baseUrl, `10.0.${index >> 8}.${index & 255}`));
}

async function ready(api: Api, logId: string): Promise<void> {
  for (;;) {
    const { state } = await api.get<LogResponse>(`/logs/${logId}`);
    if (state === 'ready') return;
    if (state === 'failed') throw new Error(`log ${logId} failed`);
    await sleep(100);
  }
}

/** Each is of a map and a road of its own. */
function filesOf(car: Car, durationS: number): Uint8Array<ArrayBuffer>[] {
  return ternDrives(car.title, 1, DRIVES_OF_KIND).map((plan) =>
    concatenate([...writeCsvLog(driveTern({ ...plan, durationS }, car).log, car.dialect, Date.UTC(2026, 2, 1))]),
  );
}

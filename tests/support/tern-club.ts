import { setTimeout as sleep } from 'node:timers/promises';
import {
  type Invitation,
  type LogResponse,
  type LogSummary,
  type SignalMapDocument,
  TERMS_VERSION,
  type VehicleResponse,
} from '@syncline/contract';
import {
  type Car,
  driveTern,
  type PlannedDrive,
  TERN_LAYOUT,
  TERN_PLATFORM,
  ternCalibration,
  ternDrives,
  ternFleet,
  writeCsvLog,
} from '@syncline/drivetrain';
import { Api } from './api.ts';

/** A club of one maintainer and one tester with one car, on a server of the test's own. */
export interface TernClub {
  readonly maintainer: Api;
  readonly tester: Api;
  readonly vehicleId: string;
  readonly car: Car;
  readonly calibrationId: string;
  /** The first revision. */
  readonly revisionId: string;
}

export const MAINTAINER = { email: 'eryngo@club.test', password: 'eryngo on the shore' };
export const TESTER = { email: 'thrift@club.test', password: 'thrift on the shore' };

/** What everybody says who joins. */
export const AGREED = { hasConsented: true, termsVersion: TERMS_VERSION };

/** Somebody enters a club by an invitation, through `api`. */
export async function joinClub(
  maintainer: Api,
  role: string,
  { name, email, password }: { readonly name: string; readonly email: string; readonly password: string },
  api = new Api(maintainer.baseUrl),
): Promise<Api> {
  const { path } = await maintainer.post<Invitation>('/invitations', { role });
  await api.post(`/invitations/${path.replace('/join/', '')}/accept`, { name, email, password, ...AGREED });
  return api;
}

/** Founds the club through the API. Its car runs the first revision. */
export async function foundTernClub(baseUrl: string): Promise<TernClub> {
  const maintainer = new Api(baseUrl);
  await maintainer.post('/setup', { clubName: 'Shore club', name: 'Eryngo', ...MAINTAINER, ...AGREED });
  const tester = await joinClub(maintainer, 'tester', { name: 'Thrift', ...TESTER });
  await maintainer.post('/platforms', TERN_PLATFORM);
  await maintainer.post(`/platforms/${TERN_PLATFORM.id}/layouts`, TERN_LAYOUT);
  const calibration = await maintainer.post<{ id: string }>('/calibrations', {
    title: 'Shore',
    platformId: TERN_PLATFORM.id,
  });
  const revision = await maintainer.post<{ id: string }>(`/calibrations/${calibration.id}/revisions`, {
    parentId: null,
    message: 'First map',
    content: ternCalibration('r1'),
  });
  const car = ternFleet(1)[0]!;
  const club = { maintainer, tester, car, calibrationId: calibration.id, revisionId: revision.id };
  return { ...club, vehicleId: await enterCar(club) };
}

/** Enters the car of the club once more, confirmed and with the first revision. */
export async function enterCar({
  maintainer,
  tester,
  car,
  revisionId,
}: Omit<TernClub, 'vehicleId' | 'calibrationId'>): Promise<string> {
  const { id } = await tester.post<VehicleResponse>('/vehicles', profileOf(car));
  const observation = { dialect: car.dialect.id, source: 'capture', note: 'from a capture' };
  await maintainer.post(`/vehicles/${id}/observations`, observation);
  await maintainer.post(`/vehicles/${id}/installations`, { revisionId, sinceAt: '2026-01-01T00:00:00Z' });
  return id;
}

/** What its owner says of a car. */
export function profileOf(car: Car) {
  return {
    title: 'Campervan',
    platformId: TERN_PLATFORM.id,
    declaredDialect: car.dialect.id,
    massKg: car.vehicle.massKg,
    ratedInputTorqueNm: TERN_PLATFORM.ratedInputTorqueNm,
    inputInertiaKgM2: TERN_PLATFORM.inputInertiaKgM2,
    tyreRadiusM: car.vehicle.tyreRadiusM,
    finalDriveRatio: car.vehicle.finalDriveRatio,
  };
}

/** Drives of one car as the files its logger writes; each different. */
export function driveFiles(
  car: Car,
  { count, durationS }: { count: number; durationS: number },
): Uint8Array<ArrayBuffer>[] {
  const plans: PlannedDrive[] = ternDrives('files', 1, count).map((plan) => ({ ...plan, durationS }));
  return plans.map((plan) =>
    concatenate([...writeCsvLog(driveTern(plan, car).log, car.dialect, Date.UTC(2026, 2, 1))]),
  );
}

/** Uploads one file for the club's car. */
export async function uploadFile(
  api: Api,
  vehicleId: string,
  bytes: Uint8Array<ArrayBuffer> | Blob,
  fileName: string,
): Promise<LogSummary> {
  const query = new URLSearchParams({ vehicle: vehicleId, fileName });
  return (await api.upload<{ log: LogSummary }>(`/logs?${query}`, bytes)).log;
}

/** Agrees to what the server took the columns of a first log for, as a tester would on the page. */
export async function agreeToColumns({ tester, vehicleId }: TernClub, logId: string): Promise<void> {
  const { inspection } = await waitForState(tester, logId, ['awaitingMap']);
  await tester.put(`/vehicles/${vehicleId}/signal-map`, inspection?.suggestion as SignalMapDocument);
}

/** Waits until a log is in one of these states. */
export async function waitForState(api: Api, logId: string, states: readonly string[]): Promise<LogResponse> {
  for (let tries = 0; tries < 1200; tries++) {
    const log = await api.get<LogResponse>(`/logs/${logId}`);
    if (states.includes(log.state)) return log;
    if (log.state === 'failed') throw new Error(`log failed: ${log.problem?.detail}`);
    await sleep(50);
  }
  throw new Error(`log ${logId} never became ${states.join(' or ')}`);
}

/** Pieces of a file as one. */
export function concatenate(chunks: readonly Uint8Array[]): Uint8Array<ArrayBuffer> {
  const whole = new Uint8Array(chunks.reduce((total, chunk) => total + chunk.length, 0));
  let offset = 0;
  for (const chunk of chunks) {
    whole.set(chunk, offset);
    offset += chunk.length;
  }
  return whole;
}

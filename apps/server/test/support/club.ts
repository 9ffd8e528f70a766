import { defaultContent, type Layout, type Platform, type RevisionContent } from '@syncline/calibration';
import { TERMS_VERSION } from '@syncline/contract';
import { Client, clientOf } from './client.js';
import type { TestServer } from './server.js';
import { RATIOS } from './synthetic-drive.js';

export const PASSWORD = 'sea kale and thrift';

/** What everybody says who joins. */
export const AGREED = { hasConsented: true, termsVersion: TERMS_VERSION };

/** Three speeds of round ratios, for drives of `syntheticDriveCsv`. */
export const PLATFORM: Platform = {
  id: 'skua',
  title: 'Skua three-speed',
  gears: [
    { gear: 1, ratio: RATIOS[0], applied: ['A', 'C'] },
    { gear: 2, ratio: RATIOS[1], applied: ['A', 'B'] },
    { gear: 3, ratio: RATIOS[2], applied: ['B', 'C'] },
  ],
  clutches: [
    { id: 'A', title: 'Clutch A', kind: 'clutch' },
    { id: 'B', title: 'Clutch B', kind: 'clutch' },
    { id: 'C', title: 'Brake C', kind: 'brake' },
  ],
  shifts: [
    { id: '1-2', from: 1, to: 2 },
    { id: '2-3', from: 2, to: 3 },
    { id: '3-2', from: 3, to: 2 },
    { id: '2-1', from: 2, to: 1 },
  ],
  programs: [
    { id: 'calm', title: 'Calm', code: 0 },
    { id: 'brisk', title: 'Brisk', code: 1 },
  ],
  dialects: [
    { id: 'sand', title: 'Sand' },
    { id: 'shingle', title: 'Shingle' },
  ],
  ratedInputTorqueNm: 250,
  inputInertiaKgM2: 0.15,
};

export const LAYOUT: Layout = {
  platformId: 'skua',
  version: 1,
  title: 'Apply pressure',
  tables: [
    {
      id: 'basePressure',
      title: 'Base pressure',
      quantity: 'pressure',
      unit: 'kPa',
      repeat: 'shift',
      axes: [
        { quantity: 'load', title: 'Load', unit: '%', breakpoints: [0, 50, 100], editable: true },
        { quantity: 'inputSpeed', title: 'Input speed', unit: 'rpm', breakpoints: [1000, 3000], editable: false },
      ],
      storage: { type: 'u16', resolution: 1, offset: 0 },
      limits: { min: 0, max: 1000 },
      monotone: [],
      slopeLimits: [],
      defaultValue: 300,
    },
    {
      id: 'programFactor',
      title: 'Program factor',
      quantity: 'factor',
      unit: '',
      repeat: 'program',
      axes: [],
      storage: { type: 'f32', resolution: 0.001, offset: 0 },
      limits: { min: 0.5, max: 2 },
      monotone: [],
      slopeLimits: [],
      defaultValue: 1,
    },
  ],
  rules: [
    {
      id: 'applyPressure',
      title: 'Apply pressure',
      unit: 'kPa',
      kind: 'product',
      tables: ['basePressure', 'programFactor'],
    },
  ],
};

/** Content in which every base pressure is `pressureKpa`. */
export function contentWith(pressureKpa: number): RevisionContent {
  const content = defaultContent(LAYOUT, PLATFORM);
  const { axes, values } = content.tables.basePressure;
  const changed = Object.fromEntries(
    Object.entries(values).map(([shift, cells]) => [shift, cells.map(() => pressureKpa)]),
  );
  return { ...content, tables: { ...content.tables, basePressure: { axes, values: changed } } };
}

export const SIGNAL_MAP = {
  time: { column: 'time (s)', format: 'seconds' },
  signals: [
    { signal: 'inputSpeed', column: 'input speed (rpm)', unit: 'rpm' },
    { signal: 'outputSpeed', column: 'output speed (rpm)', unit: 'rpm' },
    { signal: 'engineSpeed', column: 'engine speed (rpm)', unit: 'rpm' },
    { signal: 'gearTarget', column: 'target gear', unit: '' },
    { signal: 'load', column: 'load (%)', unit: '%' },
    { signal: 'fluidTemperature', column: 'oil temperature (°C)', unit: '°C' },
  ],
} as const;

export const CAR = {
  platformId: 'skua',
  declaredDialect: 'sand',
  engine: '2.0 diesel',
  massKg: 2100,
  ratedInputTorqueNm: 250,
  inputInertiaKgM2: 0.15,
  tyreRadiusM: 0.33,
  finalDriveRatio: 3.7,
} as const;

export type RoleName = 'noOne' | 'maintainer' | 'reviewer' | 'reader' | 'tester' | 'otherTester';

export interface Club {
  readonly as: Readonly<Record<RoleName, Client>>;
  readonly calibrationId: string;
  /** Two revisions, oldest first. */
  readonly revisionIds: readonly [string, string];
  /** The tester's car: confirmed, with a signal map, running the first revision. */
  readonly vehicleId: string;
  readonly otherVehicleId: string;
}

/** A club with one of every role, a platform with two revisions, and a car for each of two testers. */
export async function foundClub(server: TestServer): Promise<Club> {
  const noOne = new Client(server);
  const setup = { clubName: 'Skua club', name: 'Marram', email: 'marram@club.test', password: PASSWORD, ...AGREED };
  const maintainer = clientOf(server, await noOne.post('/setup', setup));
  const [reviewer, reader, tester, otherTester] = [
    await join(server, maintainer, 'reviewer', 'Samphire'),
    await join(server, maintainer, 'reader', 'Sandwort'),
    await join(server, maintainer, 'tester', 'Thrift'),
    await join(server, maintainer, 'tester', 'Campion'),
  ];
  await made(maintainer.post('/platforms', PLATFORM));
  await made(maintainer.post('/platforms/skua/layouts', LAYOUT));
  const calibrationId = (await made(maintainer.post('/calibrations', { title: 'Shore', platformId: 'skua' }))).id;
  const first = await addRevision(maintainer, calibrationId, null, 300);
  const second = await addRevision(maintainer, calibrationId, first, 330);
  const vehicleId = (await made(tester.post('/vehicles', { ...CAR, title: 'Camper van' }))).id;
  const otherVehicleId = (await made(otherTester.post('/vehicles', { ...CAR, title: 'Pick-up' }))).id;
  for (const [owner, car] of [
    [tester, vehicleId],
    [otherTester, otherVehicleId],
  ] as const) {
    await made(
      maintainer.post(`/vehicles/${car}/observations`, { dialect: 'sand', source: 'capture', note: 'from a capture' }),
    );
    await made(owner.put(`/vehicles/${car}/signal-map`, SIGNAL_MAP));
    await made(owner.post(`/vehicles/${car}/installations`, { revisionId: first, sinceAt: '2026-01-01T00:00:00Z' }));
  }
  return {
    as: { noOne, maintainer, reviewer, reader, tester, otherTester },
    calibrationId,
    revisionIds: [first, second],
    vehicleId,
    otherVehicleId,
  };
}

/** Another person, who accepts an invitation. */
export async function join(server: TestServer, maintainer: Client, role: string, name: string): Promise<Client> {
  const { path } = await made(maintainer.post('/invitations', { role }));
  const secret = path.replace('/join/', '');
  const person = { name, email: `${name.toLowerCase()}@club.test`, password: PASSWORD, ...AGREED };
  return clientOf(server, await new Client(server).post(`/invitations/${secret}/accept`, person));
}

async function addRevision(maintainer: Client, calibrationId: string, parentId: string | null, kpa: number) {
  const body = { parentId, message: `${kpa} kPa everywhere`, content: contentWith(kpa) };
  return (await made(maintainer.post(`/calibrations/${calibrationId}/revisions`, body))).id as string;
}

/** The body of an answer that says that something was made or done; throws for any other. */
export async function made(answer: ReturnType<Client['get']>) {
  const response = await answer;
  if (response.statusCode >= 300) throw new Error(`${response.statusCode} ${response.body}`);
  return response.body === '' ? undefined : response.json();
}

/** Uploads a drive and waits until it was analysed; answers the log. */
export async function drive(server: TestServer, client: Client, vehicleId: string, csv: string | Buffer, query = {}) {
  const { log } = await made(client.upload(vehicleId, csv, query));
  await server.jobs.idle();
  return made(client.get(`/logs/${log.id}`));
}

import type { ProposalResponse } from '@syncline/contract';
import type { Client } from './client.js';
import { CAR, type Club, drive, join, made, SIGNAL_MAP } from './club.js';
import type { TestServer } from './server.js';
import { type SyntheticDrive, syntheticDriveCsv } from './synthetic-drive.js';

/** What calls of proposals are about. */
export interface ProposalThings {
  readonly club: Club;
  readonly unique: () => string;
  /** One that is ready and changes something. */
  readonly proposalId: string;
  /** Id of a fresh one. */
  readonly proposal: () => Promise<string>;
}

/** A drive of `syntheticDriveCsv` that also logs the program, which the tables of the test gearbox ask for. */
export function drivenInProgram(drive: SyntheticDrive = {}, program = 0): string {
  const [head, ...lines] = syntheticDriveCsv(drive).trimEnd().split('\n');
  return `${[`${head},program`, ...lines.map((line) => `${line},${program}`)].join('\n')}\n`;
}

/** Cars of new testers, each with four drives that differ. */
export async function drivenProgramCars(server: TestServer, club: Club, owners: readonly string[]) {
  const cars: Awaited<ReturnType<typeof programCar>>[] = [];
  for (const [i, name] of owners.entries()) {
    const car = await programCar(server, club, name);
    for (const offsetRpm of [0, 40, 80, 120]) {
      await drive(server, car.tester, car.id, drivenInProgram({ offsetRpm: offsetRpm + i }));
    }
    cars.push(car);
  }
  return cars;
}

/** A car of a new tester that logs its program and runs the club's first revision. */
async function programCar(server: TestServer, club: Club, owner: string): Promise<{ id: string; tester: Client }> {
  const tester = await join(server, club.as.maintainer, 'tester', owner);
  const { id } = await made(tester.post('/vehicles', { ...CAR, title: 'Van' }));
  const seen = { dialect: 'sand', source: 'inspection', note: 'its label' };
  await made(club.as.maintainer.post(`/vehicles/${id}/observations`, seen));
  const signals = [...SIGNAL_MAP.signals, { signal: 'program', column: 'program', unit: '' }];
  await made(tester.put(`/vehicles/${id}/signal-map`, { ...SIGNAL_MAP, signals }));
  const installed = { revisionId: club.revisionIds[0], sinceAt: '2026-01-01T00:00:00Z' };
  await made(tester.post(`/vehicles/${id}/installations`, installed));
  return { id, tester };
}

let step = 0.01;

/** A policy that lets one car and a few shifts speak; its step differs each time, so that every proposal is another. */
export const lenient = () => ({
  baseRevisionId: '',
  policy: { minShifts: 1, minVehicles: 1, maxSdLn: 0.5, leastSignal: 0, maxStep: (step += 0.0001) },
});

/** Brings what `PROPOSAL_CASES` need. `maintainer` must stay signed in. */
export async function proposalThings(
  server: TestServer,
  club: Club,
  maintainer: Client,
): Promise<Omit<ProposalThings, 'club' | 'unique'>> {
  const proposal = async (): Promise<string> => {
    const wish = { ...lenient(), baseRevisionId: club.revisionIds[0] };
    const { id }: ProposalResponse = await made(maintainer.post(`/calibrations/${club.calibrationId}/proposals`, wish));
    await server.jobs.idle();
    return id;
  };
  const car = await programCar(server, club, 'Glasswort');
  for (const offsetRpm of [0, 40, 80, 120]) {
    await drive(server, car.tester, car.id, drivenInProgram({ offsetRpm }));
  }
  return { proposal, proposalId: await proposal() };
}

interface ProposalCase {
  /** What a permitted caller is answered. */
  readonly success: number;
  /** Whether another tester is told that there is no such thing. */
  readonly isOwn?: boolean;
  call(client: Client, things: ProposalThings): ReturnType<Client['get']>;
}

const read = (path: (things: ProposalThings) => string, isOwn = false): ProposalCase => ({
  success: 200,
  isOwn,
  call: (client, things) => client.get(path(things)),
});

/** Every route of proposals and of what belongs to single cars, with one good call of it. */
export const PROPOSAL_CASES: Readonly<Record<string, ProposalCase>> = {
  'GET /api/v1/calibrations/:calibrationId/proposals': read(
    ({ club }) => `/calibrations/${club.calibrationId}/proposals`,
  ),
  'POST /api/v1/calibrations/:calibrationId/proposals': {
    success: 202,
    call: (client, { club }) =>
      client.post(`/calibrations/${club.calibrationId}/proposals`, {
        ...lenient(),
        baseRevisionId: club.revisionIds[0],
      }),
  },
  'GET /api/v1/proposals/:proposalId': read(({ proposalId }) => `/proposals/${proposalId}`),
  'GET /api/v1/proposals/:proposalId/nodes': read(({ proposalId }) => `/proposals/${proposalId}/nodes`),
  'GET /api/v1/proposals/:proposalId/nodes.csv': read(({ proposalId }) => `/proposals/${proposalId}/nodes.csv`),
  'POST /api/v1/proposals/:proposalId/drafts': {
    success: 201,
    call: (client, { proposalId, unique }) => client.post(`/proposals/${proposalId}/drafts`, { line: unique() }),
  },
  'POST /api/v1/proposals/:proposalId/rejection': {
    success: 200,
    call: async (client, { club, proposal }) => {
      const maySee = (await client.get(`/calibrations/${club.calibrationId}/proposals`)).statusCode === 200;
      return client.post(`/proposals/${maySee ? await proposal() : 'none'}/rejection`, { reason: 'too bold' });
    },
  },
  'POST /api/v1/proposals/:proposalId/preview': {
    success: 202,
    call: (client, { proposalId }) => client.post(`/proposals/${proposalId}/preview`),
  },
  'GET /api/v1/proposal-origin': read(({ club }) => `/proposal-origin?revision=${club.revisionIds[0]}`),
  'GET /api/v1/vehicles/:vehicleId/trims': read(({ club }) => `/vehicles/${club.vehicleId}/trims`, true),
  'GET /api/v1/vehicles/:vehicleId/adaptations': read(({ club }) => `/vehicles/${club.vehicleId}/adaptations`, true),
  'POST /api/v1/vehicles/:vehicleId/adaptations': {
    success: 201,
    isOwn: true,
    call: (client, { club }) =>
      client.post(`/vehicles/${club.vehicleId}/adaptations`, {
        revisionId: club.revisionIds[0],
        readAt: '2026-02-01T00:00:00Z',
        values: [{ clutch: 'B', percent: 2.5 }],
      }),
  },
};

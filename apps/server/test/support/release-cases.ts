import type { ReleaseResponse, RevisionResponse } from '@syncline/contract';
import type { Client } from './client.js';
import { CAR, type Club, made } from './club.js';

/** What calls of releases, offers, control units and notices are about. */
export interface ReleaseThings {
  readonly club: Club;
  readonly unique: () => string;
  /** An approved revision. */
  readonly approvedId: string;
  /** Content hash of it. */
  readonly approvedHash: string;
  /** A car of the tester, confirmed, that a running release of the approved revision has taken in. */
  readonly offeredVehicleId: string;
  readonly runningReleaseId: string;
  /** Id of a fresh draft of a release. */
  readonly draftRelease: () => Promise<string>;
  /** Id of a control unit that the tester holds. */
  readonly unitId: string;
  /** Id of a fresh hook. */
  readonly hook: () => Promise<string>;
  /** Id of a fresh application. */
  readonly application: () => Promise<string>;
}

/** Asks for a review of a revision, which the reviewer of the club approves. Answers its content hash. */
export async function approve({ as: { maintainer, reviewer } }: Club, revisionId: string): Promise<string> {
  const { contentHash }: RevisionResponse = await made(maintainer.get(`/revisions/${revisionId}`));
  const { id } = await made(maintainer.post(`/revisions/${revisionId}/reviews`, {}));
  await made(reviewer.post(`/reviews/${id}/decision`, { decision: 'approved', contentHash, reason: '' }));
  return contentHash;
}

/** A release of the second revision to every car at once. */
export const aRelease = ({ revisionIds: [first, second] }: Club, change: object = {}) => ({
  revisionId: second,
  replacesId: first,
  words: 'Firmer apply pressure everywhere: shifts are shorter.',
  cohort: {},
  stages: [{ size: { kind: 'share', share: 1 }, minShifts: 0, minVehicles: 0 }],
  ...change,
});

/** A car that is confirmed to speak sand and runs the first revision. */
export async function confirmedCar(club: Club, owner: Client, change: object = {}): Promise<string> {
  const { id } = await made(owner.post('/vehicles', { ...CAR, title: 'Beach buggy', ...change }));
  const observation = { dialect: 'sand', source: 'inspection', note: 'looked' };
  await made(club.as.maintainer.post(`/vehicles/${id}/observations`, observation));
  const installation = { revisionId: club.revisionIds[0], sinceAt: '2026-01-01T00:00:00Z' };
  await made(owner.post(`/vehicles/${id}/installations`, installation));
  return id;
}

/** Brings the club what `RELEASE_CASES` need. `maintainer` must stay signed in. */
export async function releaseThings(
  club: Club,
  maintainer: Client,
): Promise<Omit<ReleaseThings, 'club' | 'unique' | 'application'>> {
  const approvedId = club.revisionIds[1];
  const approvedHash = await approve(club, approvedId);
  const offeredVehicleId = await confirmedCar(club, club.as.tester);
  const draftRelease = async (): Promise<string> => (await made(maintainer.post('/releases', aRelease(club)))).id;
  const running: ReleaseResponse = await made(
    maintainer.post(`/releases/${await draftRelease()}/acts`, { act: 'start' }),
  );
  const unit = await made(
    maintainer.post('/control-units', { serial: 'CU-0001', platformId: 'skua', hardware: 'B', firmware: '1.2' }),
  );
  await made(maintainer.patch(`/control-units/${unit.id}`, { holderId: club.as.tester.personId }));
  return {
    approvedId,
    approvedHash,
    offeredVehicleId,
    runningReleaseId: running.id,
    draftRelease,
    unitId: unit.id,
    hook: async () => (await made(maintainer.post('/hooks', { url: 'https://shore.example/told' }))).id,
  };
}

interface ReleaseCase {
  /** What a permitted caller is answered. */
  readonly success: number;
  /** Whether another tester is told that there is no such thing. */
  readonly isOwn?: boolean;
  call(client: Client, things: ReleaseThings): ReturnType<Client['get']>;
}

const read = (path: (things: ReleaseThings) => string, isOwn = false): ReleaseCase => ({
  success: 200,
  isOwn,
  call: (client, things) => client.get(path(things)),
});

/** Every route of releases, offers, control units and notices with one good call of it. */
export const RELEASE_CASES: Readonly<Record<string, ReleaseCase>> = {
  'GET /api/v1/releases': read(() => '/releases?platform=skua'),
  'POST /api/v1/releases': { success: 201, call: (client, { club }) => client.post('/releases', aRelease(club)) },
  'GET /api/v1/releases/cohort': read(({ approvedId }) => `/releases/cohort?revision=${approvedId}`),
  'GET /api/v1/releases/:releaseId': read(({ runningReleaseId }) => `/releases/${runningReleaseId}`),
  'GET /api/v1/releases/:releaseId/looks': read(({ runningReleaseId }) => `/releases/${runningReleaseId}/looks`),
  'POST /api/v1/releases/:releaseId/acts': {
    success: 200,
    call: async (client, { draftRelease }) => client.post(`/releases/${await draftRelease()}/acts`, { act: 'start' }),
  },
  'GET /api/v1/vehicles/:vehicleId/offer': read(({ offeredVehicleId }) => `/vehicles/${offeredVehicleId}/offer`, true),
  'GET /api/v1/vehicles/:vehicleId/offer/download': read(
    ({ offeredVehicleId }) => `/vehicles/${offeredVehicleId}/offer/download?format=csv`,
    true,
  ),
  'POST /api/v1/vehicles/:vehicleId/offer/answer': {
    success: 200,
    isOwn: true,
    call: (client, { offeredVehicleId, approvedHash }) =>
      client.post(`/vehicles/${offeredVehicleId}/offer/answer`, { answer: 'failed', contentHash: approvedHash }),
  },
  'PUT /api/v1/vehicles/:vehicleId/tags': {
    success: 200,
    call: (client, { club }) => client.put(`/vehicles/${club.vehicleId}/tags`, { tags: ['towing'] }),
  },

  'GET /api/v1/control-units': read(() => '/control-units'),
  'POST /api/v1/control-units': {
    success: 201,
    call: (client, { unique }) =>
      client.post('/control-units', { serial: unique(), platformId: 'skua', hardware: 'B' }),
  },
  'GET /api/v1/control-units/affected': read(() => '/control-units/affected?hardware=B'),
  'GET /api/v1/control-units/recalls': read(() => '/control-units/recalls'),
  'POST /api/v1/control-units/recalls': {
    success: 201,
    call: (client) => client.post('/control-units/recalls', { hardware: 'A0', words: 'Send it back.' }),
  },
  'GET /api/v1/control-units/queue': read(() => '/control-units/queue'),
  'PUT /api/v1/applications/:applicationId/unit-wait': {
    success: 200,
    call: async (client, { application }) =>
      client.put(`/applications/${await application()}/unit-wait`, { waits: true }),
  },
  'GET /api/v1/control-units/:unitId': read(({ unitId }) => `/control-units/${unitId}`, true),
  'PATCH /api/v1/control-units/:unitId': {
    success: 200,
    call: (client, { unitId }) => client.patch(`/control-units/${unitId}`, { note: 'cable renewed' }),
  },
  'POST /api/v1/control-units/:unitId/firmware': {
    success: 200,
    isOwn: true,
    call: (client, { unitId }) => client.post(`/control-units/${unitId}/firmware`, { firmware: '1.3' }),
  },

  'GET /api/v1/hooks': read(() => '/hooks'),
  'POST /api/v1/hooks': {
    success: 201,
    call: (client) => client.post('/hooks', { url: 'https://shore.example/told' }),
  },
  'DELETE /api/v1/hooks/:hookId': {
    success: 204,
    call: async (client, { hook }) => client.delete(`/hooks/${await hook()}`),
  },
  'GET /api/v1/notices': read(() => '/notices'),
};

import { ACCOUNT_CASES, type AccountThings } from './account-cases.js';
import { CALIBRATION_CASES, type CalibrationThings } from './calibration-cases.js';
import type { Client } from './client.js';
import { AGREED, CAR, type Club, contentWith, LAYOUT, PASSWORD, PLATFORM, SIGNAL_MAP } from './club.js';
import { PROPOSAL_CASES, type ProposalThings } from './proposal-cases.js';
import { RELEASE_CASES, type ReleaseThings } from './release-cases.js';
import { REQUEST_CASES, type RequestThings } from './request-cases.js';
import { syntheticDriveCsv } from './synthetic-drive.js';

/** Things that the calls of the table are about; made anew for each table walk. */
export interface Things extends AccountThings, CalibrationThings, ProposalThings, ReleaseThings, RequestThings {
  readonly club: Club;
  /** Of the tester's car, analysed. */
  readonly logId: string;
  readonly shiftId: string;
  /** A fresh text for what must be unique. */
  readonly unique: () => string;
  /** Secret of a fresh invitation. */
  readonly invitation: () => Promise<string>;
  /** Id of a fresh upload of the tester, nothing sent yet. */
  readonly upload: () => Promise<string>;
  /** Id of a fresh analysis run that is ready to be switched to. */
  readonly run: () => Promise<string>;
  /** Id of a fresh token of the tester. */
  readonly token: () => Promise<string>;
}

export interface RouteCase {
  /** What a permitted caller is answered. */
  readonly success: number;
  /** Whether another tester is told that there is no such thing. */
  readonly isOwn?: boolean;
  /** Whether it is about a thing that only the tester has: even a maintainer is told that there is none. */
  readonly isPersonal?: boolean;
  call(client: Client, things: Things): ReturnType<Client['get']>;
}

const read = (path: (things: Things) => string, isOwn = false): RouteCase => ({
  success: 200,
  isOwn,
  call: (client, things) => client.get(path(things)),
});

const write = (
  success: number,
  path: (things: Things) => string,
  body: (things: Things, client: Client) => unknown,
  isOwn = false,
): RouteCase => ({ success, isOwn, call: (client, things) => client.post(path(things), body(things, client)) });

/** A note that the caller has just written, where she may. */
async function ownNote(client: Client, logId: string): Promise<string> {
  return (await client.post(`/logs/${logId}/notes`, { atS: 3, text: 'mine' })).json().id;
}

/** A call about a run that has collected; of no run at all where the caller may see none, which spares the work. */
function aboutRun(
  success: number,
  call: (client: Client, runId: string, things: Things) => ReturnType<Client['get']>,
): RouteCase {
  return {
    success,
    call: async (client, things) => {
      const maySee = (await client.get('/analysis-runs')).statusCode === 200;
      return call(client, maySee ? await things.run() : 'none', things);
    },
  };
}

const person = (things: Things) => ({
  name: 'Orache',
  email: `${things.unique()}@club.test`,
  password: PASSWORD,
  ...AGREED,
});
const signal = 'signals=inputSpeed,outputSpeed';

/** Headers that begin an upload of the tus protocol. */
export const beginUpload = (vehicleId: string) => ({
  'tus-resumable': '1.0.0',
  'upload-length': '100',
  'upload-metadata': `vehicle ${btoa(vehicleId)},fileName ${btoa('drive.csv')}`,
});

/** Every route with one good call of it. A route that is missing here fails the test, and so does one too many. */
export const ROUTE_CASES: Readonly<Record<string, RouteCase>> = {
  'GET /api/openapi.json': { success: 200, call: (client) => client.get('/api/openapi.json') },
  'GET /api/health/live': { success: 200, call: (client) => client.get('/api/health/live') },
  'GET /api/health/ready': { success: 200, call: (client) => client.get('/api/health/ready') },
  'GET /*': { success: 503, call: (client) => client.page('/fleet') },

  'GET /api/v1/setup': read(() => '/setup'),
  'POST /api/v1/setup': write(
    409,
    () => '/setup',
    (things) => ({ clubName: 'Another', ...person(things) }),
  ),
  'POST /api/v1/session': write(
    201,
    () => '/session',
    () => ({ email: 'thrift@club.test', password: PASSWORD }),
  ),
  'GET /api/v1/session': read(() => '/session'),
  'DELETE /api/v1/session': { success: 204, call: (client) => client.delete('/session') },
  'GET /api/v1/people': read(() => '/people'),
  'POST /api/v1/invitations': write(
    201,
    () => '/invitations',
    () => ({ role: 'tester' }),
  ),
  'GET /api/v1/invitations/:secret': {
    success: 200,
    call: async (client, things) => client.get(`/invitations/${await things.invitation()}`),
  },
  'POST /api/v1/invitations/:secret/accept': {
    success: 201,
    call: async (client, things) => client.post(`/invitations/${await things.invitation()}/accept`, person(things)),
  },
  ...ACCOUNT_CASES,

  'GET /api/v1/platforms': read(() => '/platforms'),
  'POST /api/v1/platforms': write(
    201,
    () => '/platforms',
    (things) => ({ ...PLATFORM, id: things.unique() }),
  ),
  'GET /api/v1/platforms/:platformId': read(() => '/platforms/skua'),
  'POST /api/v1/platforms/:platformId/layouts': write(
    409,
    () => '/platforms/skua/layouts',
    () => LAYOUT,
  ),
  'GET /api/v1/platforms/:platformId/layouts/:version': read(() => '/platforms/skua/layouts/1'),
  'POST /api/v1/platforms/:platformId/policies': write(
    201,
    () => '/platforms/skua/policies',
    () => POLICY,
  ),

  'POST /api/v1/platforms/:platformId/dialects': write(
    201,
    () => '/platforms/skua/dialects',
    (things) => ({ id: things.unique(), title: 'Another bus' }),
  ),
  'GET /api/v1/platforms/:platformId/dialects/:dialectId/signals': read(() => '/platforms/skua/dialects/sand/signals'),
  'PUT /api/v1/platforms/:platformId/dialects/:dialectId/signals': {
    success: 200,
    call: (client) => client.put('/platforms/skua/dialects/sand/signals', { signals: [BUS_SIGNAL] }),
  },
  'GET /api/v1/platforms/:platformId/dialects/:dialectId/profile': read(() => '/platforms/skua/dialects/sand/profile'),
  'PUT /api/v1/platforms/:platformId/dialects/:dialectId/profile': {
    success: 200,
    call: (client) => client.put('/platforms/skua/dialects/sand/profile', { identifiers: [DIALECT_IDENTIFIER] }),
  },
  'POST /api/v1/platforms/:platformId/dialects/:dialectId/learn': write(
    422,
    () => '/platforms/skua/dialects/sand/learn',
    ({ logId }) => ({ captureIds: [logId] }),
  ),
  'GET /api/v1/platforms/:platformId/captures': read(() => '/platforms/skua/captures'),

  'GET /api/v1/calibrations': read(() => '/calibrations'),
  'POST /api/v1/calibrations': write(
    201,
    () => '/calibrations',
    () => ({ title: 'Dune', platformId: 'skua' }),
  ),
  'GET /api/v1/calibrations/:calibrationId': read(({ club }) => `/calibrations/${club.calibrationId}`),
  'POST /api/v1/calibrations/:calibrationId/revisions': write(
    201,
    ({ club }) => `/calibrations/${club.calibrationId}/revisions`,
    ({ club }) => ({ parentId: club.revisionIds[0], message: 'firmer', content: contentWith(350) }),
  ),
  'GET /api/v1/revisions/:revisionId': read(({ club }) => `/revisions/${club.revisionIds[0]}`),
  'GET /api/v1/revisions/:revisionId/content': read(({ club }) => `/revisions/${club.revisionIds[0]}/content`),
  'GET /api/v1/revisions/:revisionId/evidence': read(
    ({ club }) => `/revisions/${club.revisionIds[0]}/evidence?table=basePressure&variant=1-2`,
  ),
  'GET /api/v1/revisions/:revisionId/commanded': read(
    ({ club }) => `/revisions/${club.revisionIds[0]}/commanded?rule=applyPressure&shift=1-2&program=calm`,
  ),
  'GET /api/v1/revisions/:revisionId/commanded-point': read(
    ({ club }) =>
      `/revisions/${club.revisionIds[0]}/commanded-point?rule=applyPressure&shift=1-2&program=calm&load=40&inputSpeed=2000`,
  ),
  'GET /api/v1/compare/tables': read(
    ({ club }) => `/compare/tables?base=${club.revisionIds[0]}&other=${club.revisionIds[1]}`,
  ),
  'GET /api/v1/compare/table': read(
    ({ club }) =>
      `/compare/table?base=${club.revisionIds[0]}&other=${club.revisionIds[1]}&table=basePressure&variant=1-2`,
  ),
  'GET /api/v1/compare/outcomes': read(
    ({ club }) => `/compare/outcomes?base=${club.revisionIds[0]}&other=${club.revisionIds[1]}`,
  ),
  'GET /api/v1/compare/outcomes/detail': read(
    ({ club }) => `/compare/outcomes/detail?base=${club.revisionIds[0]}&other=${club.revisionIds[1]}&measure=flare`,
  ),
  'GET /api/v1/compare/outcomes/overlap': read(
    ({ club }) => `/compare/outcomes/overlap?base=${club.revisionIds[0]}&other=${club.revisionIds[1]}`,
  ),
  'GET /api/v1/compare/outcomes/spreads': read(
    ({ club }) => `/compare/outcomes/spreads?base=${club.revisionIds[0]}&other=${club.revisionIds[1]}`,
  ),

  ...CALIBRATION_CASES,
  ...PROPOSAL_CASES,
  ...REQUEST_CASES,
  ...RELEASE_CASES,

  'GET /api/v1/vehicles': read(() => '/vehicles'),
  'POST /api/v1/vehicles': write(
    201,
    () => '/vehicles',
    () => ({ ...CAR, title: 'Hatchback' }),
  ),
  'GET /api/v1/vehicles/:vehicleId': read(({ club }) => `/vehicles/${club.vehicleId}`, true),
  'PATCH /api/v1/vehicles/:vehicleId': {
    success: 200,
    isOwn: true,
    call: (client, { club }) => client.patch(`/vehicles/${club.vehicleId}`, { note: 'new tyres' }),
  },
  'POST /api/v1/vehicles/:vehicleId/installations': write(
    201,
    ({ club }) => `/vehicles/${club.vehicleId}/installations`,
    ({ club }) => ({ revisionId: club.revisionIds[1] }),
    true,
  ),
  'POST /api/v1/vehicles/:vehicleId/observations': write(
    201,
    ({ club }) => `/vehicles/${club.vehicleId}/observations`,
    () => ({ dialect: 'sand', source: 'inspection', note: 'looked again' }),
  ),
  'GET /api/v1/vehicles/:vehicleId/dialect': read(({ club }) => `/vehicles/${club.vehicleId}/dialect`, true),
  'POST /api/v1/vehicles/:vehicleId/dialect/decisions': write(
    201,
    ({ club }) => `/vehicles/${club.vehicleId}/dialect/decisions`,
    () => ({ decision: 'accept', reason: 'measured on the bench' }),
  ),
  'GET /api/v1/vehicles/:vehicleId/signal-map': read(({ club }) => `/vehicles/${club.vehicleId}/signal-map`, true),
  'PUT /api/v1/vehicles/:vehicleId/signal-map': {
    success: 200,
    isOwn: true,
    call: (client, { club }) => client.put(`/vehicles/${club.vehicleId}/signal-map`, SIGNAL_MAP),
  },

  'POST /api/v1/logs': {
    success: 202,
    isOwn: true,
    call: (client, { club, unique }) => client.upload(club.vehicleId, `${syntheticDriveCsv()}# ${unique()}\n`),
  },
  'GET /api/v1/logs': read(() => '/logs'),
  'GET /api/v1/logs/:logId': read(({ logId }) => `/logs/${logId}`, true),
  'GET /api/v1/logs/:logId/original': read(({ logId }) => `/logs/${logId}/original`, true),
  'GET /api/v1/logs/:logId/signals': read(({ logId }) => `/logs/${logId}/signals?${signal}`, true),
  'GET /api/v1/logs/:logId/signals.csv': read(({ logId }) => `/logs/${logId}/signals.csv?${signal}`, true),
  'GET /api/v1/logs/:logId/shifts': read(({ logId }) => `/logs/${logId}/shifts`, true),
  'GET /api/v1/logs/:logId/notes': read(({ logId }) => `/logs/${logId}/notes`, true),
  'POST /api/v1/logs/:logId/notes': write(
    201,
    ({ logId }) => `/logs/${logId}/notes`,
    () => ({ atS: 4.2, text: 'a nudge' }),
    true,
  ),
  'PATCH /api/v1/logs/:logId/notes/:noteId': {
    success: 200,
    isOwn: true,
    call: async (client, { logId }) =>
      client.patch(`/logs/${logId}/notes/${await ownNote(client, logId)}`, { text: 'a shove' }),
  },
  'DELETE /api/v1/logs/:logId/notes/:noteId': {
    success: 204,
    isOwn: true,
    call: async (client, { logId }) => client.delete(`/logs/${logId}/notes/${await ownNote(client, logId)}`),
  },
  'GET /api/v1/logs/:logId/report': read(({ logId }) => `/logs/${logId}/report`, true),
  'POST /api/v1/logs/:logId/analysis': write(
    202,
    ({ logId }) => `/logs/${logId}/analysis`,
    () => undefined,
  ),

  'OPTIONS /api/v1/uploads': { success: 204, call: (client) => client.send('OPTIONS', '/uploads') },
  'POST /api/v1/uploads': {
    success: 201,
    isOwn: true,
    call: (client, { club }) => client.post('/uploads', undefined, beginUpload(club.vehicleId)),
  },
  'GET /api/v1/uploads': read(() => '/uploads'),
  'POST /api/v1/uploads/known': write(
    200,
    () => '/uploads/known',
    ({ club }) => ({ vehicle: club.vehicleId, sha256: ['0'.repeat(64)] }),
    true,
  ),
  'GET /api/v1/uploads/:uploadId': {
    success: 200,
    isPersonal: true,
    call: async (client, things) => client.get(`/uploads/${await things.upload()}`),
  },
  'PATCH /api/v1/uploads/:uploadId': {
    success: 204,
    isPersonal: true,
    call: async (client, things) =>
      client.send('PATCH', `/uploads/${await things.upload()}`, Buffer.alloc(10), {
        'tus-resumable': '1.0.0',
        'upload-offset': '0',
        'content-type': 'application/offset+octet-stream',
      }),
  },
  'DELETE /api/v1/uploads/:uploadId': {
    success: 204,
    isPersonal: true,
    call: async (client, things) =>
      client.send('DELETE', `/uploads/${await things.upload()}`, undefined, { 'tus-resumable': '1.0.0' }),
  },

  'GET /api/v1/tokens': read(() => '/tokens'),
  'POST /api/v1/tokens': write(
    201,
    () => '/tokens',
    () => ({ name: 'a script', scopes: ['read'], days: 30 }),
  ),
  'DELETE /api/v1/tokens/:tokenId': {
    success: 204,
    isPersonal: true,
    call: async (client, things) => client.delete(`/tokens/${await things.token()}`),
  },
  'GET /api/v1/people/tokens': read(() => '/people/tokens'),
  'DELETE /api/v1/people/tokens/:tokenId': {
    success: 204,
    call: async (client, things) => client.delete(`/people/tokens/${await things.token()}`),
  },

  'GET /api/v1/analysis-runs': read(() => '/analysis-runs'),
  'POST /api/v1/analysis-runs': write(
    201,
    () => '/analysis-runs',
    () => ({ platform: 'skua' }),
  ),
  'GET /api/v1/analysis-runs/:runId': aboutRun(200, (client, runId) => client.get(`/analysis-runs/${runId}`)),
  'GET /api/v1/analysis-runs/:runId/logs/:logId': aboutRun(200, (client, runId, { logId }) =>
    client.get(`/analysis-runs/${runId}/logs/${logId}`),
  ),
  'POST /api/v1/analysis-runs/:runId/switch': aboutRun(200, (client, runId) =>
    client.post(`/analysis-runs/${runId}/switch`),
  ),
  'POST /api/v1/analysis-runs/:runId/discard': aboutRun(200, (client, runId) =>
    client.post(`/analysis-runs/${runId}/discard`, { note: 'not better' }),
  ),

  'GET /api/v1/shifts': read(() => '/shifts'),
  'GET /api/v1/shifts.csv': read(() => '/shifts.csv'),
  'GET /api/v1/shifts/facets': read(() => '/shifts/facets'),
  'GET /api/v1/shifts/distribution': read(() => '/shifts/distribution?quantity=flareRpm'),
  'GET /api/v1/shifts/:shiftId': read(({ shiftId }) => `/shifts/${shiftId}`, true),
  'GET /api/v1/fleet/overview': read(() => '/fleet/overview?platform=skua'),
  'GET /api/v1/fleet/matrix': read(() => '/fleet/matrix?platform=skua'),
  'GET /api/v1/fleet/matrix.csv': read(() => '/fleet/matrix.csv?platform=skua'),
  'GET /api/v1/fleet/matrices': read(() => '/fleet/matrices?platform=skua'),
  'GET /api/v1/fleet/spread': read(() => '/fleet/spread?platform=skua&measure=peakJerk'),
  'GET /api/v1/fleet/spread.csv': read(() => '/fleet/spread.csv?platform=skua&measure=peakJerk'),
  'GET /api/v1/fleet/cohorts': read(() => '/fleet/cohorts?platform=skua'),
  'GET /api/v1/fleet/trend': read(() => '/fleet/trend?platform=skua'),
  'GET /api/v1/fleet/vehicles': read(() => '/fleet/vehicles?platform=skua'),
  'GET /api/v1/fleet/coverage': read(() => '/fleet/coverage?platform=skua'),
};

const thresholds = {
  flareRpm: 60,
  flareMs: 50,
  tieUpDepth: 0.8,
  harshJerk: { load: [0, 100], value: [14, 36] },
  targetInertiaTimeS: { load: [0, 100], value: [0.5, 0.3] },
  slowFactor: 1.7,
};
const POLICY = { programs: { default: thresholds }, incompleteAfterS: 2.5, valveOnLimitS: 0.6, lockUpLimitS: 4 };

const BUS_SIGNAL = {
  name: 'turbine speed',
  identifier: 0x1a0,
  startBit: 0,
  length: 16,
  byteOrder: 'little',
  signed: false,
  scale: 0.25,
  offset: 0,
  unit: 'rpm',
};
const DIALECT_IDENTIFIER = {
  identifier: 0x1a0,
  isExtended: false,
  periodS: 0.01,
  periodSpread: 0,
  lengths: [8],
  presence: 0.95,
};

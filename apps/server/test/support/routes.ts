import type { Client } from './client.js';
import { CAR, type Club, contentWith, LAYOUT, PASSWORD, PLATFORM, SIGNAL_MAP } from './club.js';
import { syntheticDriveCsv } from './synthetic-drive.js';

/** Things that the calls of the table are about; made anew for each table walk. */
export interface Things {
  readonly club: Club;
  /** Of the tester's car, analysed. */
  readonly logId: string;
  readonly shiftId: string;
  /** A fresh text for what must be unique. */
  readonly unique: () => string;
  /** Secret of a fresh invitation. */
  readonly invitation: () => Promise<string>;
}

export interface RouteCase {
  /** What a permitted caller is answered. */
  readonly success: number;
  /** Whether another tester is told that there is no such thing. */
  readonly isOwn?: boolean;
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

const person = (things: Things) => ({ name: 'Orache', email: `${things.unique()}@club.test`, password: PASSWORD });
const signal = 'signals=inputSpeed,outputSpeed';

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
  'GET /api/v1/audit': read(() => '/audit'),

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
  'GET /api/v1/compare/outcomes': read(
    ({ club }) => `/compare/outcomes?base=${club.revisionIds[0]}&other=${club.revisionIds[1]}`,
  ),

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
  'POST /api/v1/logs/:logId/analysis': write(
    202,
    ({ logId }) => `/logs/${logId}/analysis`,
    () => undefined,
  ),

  'GET /api/v1/shifts': read(() => '/shifts'),
  'GET /api/v1/shifts.csv': read(() => '/shifts.csv'),
  'GET /api/v1/shifts/:shiftId': read(({ shiftId }) => `/shifts/${shiftId}`, true),
  'GET /api/v1/fleet/overview': read(() => '/fleet/overview?platform=skua'),
  'GET /api/v1/fleet/matrix': read(() => '/fleet/matrix?platform=skua'),
  'GET /api/v1/fleet/matrix.csv': read(() => '/fleet/matrix.csv?platform=skua'),
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

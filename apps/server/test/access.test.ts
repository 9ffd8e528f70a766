import { type Access, mayDo, type Role } from '@syncline/contract';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { clientOf } from './support/client.js';
import { type Club, drive, foundClub, made, PASSWORD, type RoleName } from './support/club.js';
import { ROUTE_CASES, type Things } from './support/routes.js';
import { startServer, type TestServer } from './support/server.js';
import { syntheticDriveCsv } from './support/synthetic-drive.js';

const ROLE_OF: Readonly<Record<RoleName, Role | null>> = {
  noOne: null,
  maintainer: 'maintainer',
  reviewer: 'reviewer',
  tester: 'tester',
  otherTester: 'tester',
};

const REFUSALS: Readonly<Record<number, string>> = {
  401: 'session.required',
  403: 'session.forbidden',
  404: 'resource.notFound',
};

let server: TestServer;
let club: Club;
let things: Things;
let declared: Map<string, Access>;

beforeAll(async () => {
  server = await startServer();
  club = await foundClub(server);
  const log = await drive(server, club.as.tester, club.vehicleId, syntheticDriveCsv());
  const { shifts } = await made(club.as.tester.get(`/logs/${log.id}/shifts`));
  let count = 0;
  // The walk ends the sign-ins that it uses; invitations come from another one.
  const inviter = clientOf(
    server,
    await club.as.noOne.post('/session', { email: 'marram@club.test', password: PASSWORD }),
  );
  things = {
    club,
    logId: log.id,
    shiftId: shifts[0].id,
    unique: () => `thing-${++count}`,
    invitation: async () => {
      const { path } = await made(inviter.post('/invitations', { role: 'tester' }));
      return path.replace('/join/', '');
    },
  };
  declared = new Map(
    server.routes
      .filter(({ method }) => method !== 'HEAD')
      .map(({ method, url, access }) => [`${method} ${url}`, access]),
  );
});
afterAll(() => server.close());

function expectedStatus(role: RoleName, name: string): number {
  const { success, isOwn } = ROUTE_CASES[name];
  const access = declared.get(name) as Access;
  const holder = ROLE_OF[role];
  if (access === 'public') return success;
  if (holder === null) return 401;
  if (!mayDo(holder, access)) return 403;
  return isOwn && role === 'otherTester' ? 404 : success;
}

it('every route stands in the table of calls, and every call of the table is a route', () => {
  expect([...declared.keys()].sort()).toEqual(Object.keys(ROUTE_CASES).sort());
});

// Signing out ends the sign-in that the other calls use, so that it comes last.
const names = Object.keys(ROUTE_CASES).sort((a, b) => Number(a.startsWith('DELETE')) - Number(b.startsWith('DELETE')));

describe.each(Object.keys(ROLE_OF) as RoleName[])('%s', (role) => {
  it.each(names)('is answered as declared: %s', async (name) => {
    const response = await ROUTE_CASES[name].call(club.as[role], things);
    const status = expectedStatus(role, name);
    const refusal = REFUSALS[status];
    expect({ status: response.statusCode, body: refusal ? response.json() : response.body }).toMatchObject({
      status,
      ...(refusal && { body: { code: refusal } }),
    });
  });
});

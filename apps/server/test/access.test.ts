import {
  type Access,
  mayDo,
  PERMISSIONS,
  type Permission,
  type Role,
  scopesAllow,
  TOKEN_SCOPES,
} from '@syncline/contract';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { accountThings } from './support/account-cases.js';
import { calibrationThings } from './support/calibration-cases.js';
import { type Client, clientOf } from './support/client.js';
import { type Club, drive, foundClub, made, PASSWORD, type RoleName } from './support/club.js';
import { proposalThings } from './support/proposal-cases.js';
import { releaseThings } from './support/release-cases.js';
import { requestThings } from './support/request-cases.js';
import { beginUpload, ROUTE_CASES, type Things } from './support/routes.js';
import { startServer, type TestServer } from './support/server.js';
import { syntheticDriveCsv } from './support/synthetic-drive.js';

const ROLE_OF: Readonly<Record<RoleName, Role | null>> = {
  noOne: null,
  maintainer: 'maintainer',
  reviewer: 'reviewer',
  reader: 'reader',
  tester: 'tester',
  otherTester: 'tester',
};

const SIGNED_IN = ['maintainer', 'reviewer', 'reader', 'tester'] as const;

const REFUSALS: Readonly<Record<number, string>> = {
  401: 'session.required',
  403: 'session.forbidden',
  404: 'resource.notFound',
};

/** What a refusal is told by; a call that is permitted may be refused for what it says. */
function refusalOf(name: string, status: number): string | undefined {
  return status === ROUTE_CASES[name].success ? undefined : REFUSALS[status];
}

let server: TestServer;
let club: Club;
let things: Things;
let declared: Map<string, Access>;
const programs = new Map<string, Client>();

beforeAll(async () => {
  server = await startServer();
  club = await foundClub(server);
  const log = await drive(server, club.as.tester, club.vehicleId, syntheticDriveCsv());
  const { shifts } = await made(club.as.tester.get(`/logs/${log.id}/shifts`));
  let count = 0;
  const unique = () => `thing-${++count}`;
  // The walk ends the sign-ins that it uses; what it needs comes from others.
  const signIn = async (email: string) =>
    clientOf(server, await club.as.noOne.post('/session', { email, password: PASSWORD }));
  const [inviter, owner] = [await signIn('marram@club.test'), await signIn('thrift@club.test')];
  things = {
    club,
    logId: log.id,
    shiftId: shifts[0].id,
    unique,
    ...(await calibrationThings(server, club, unique)),
    ...(await proposalThings(server, club, inviter)),
    ...(await requestThings(server, club, inviter)),
    ...(await releaseThings(club, inviter)),
    ...(await accountThings(server, { maintainer: inviter, unique })),
    invitation: async () => {
      const { path } = await made(inviter.post('/invitations', { role: 'tester' }));
      return path.replace('/join/', '');
    },
    upload: async () => {
      const { headers } = await owner.post('/uploads', undefined, beginUpload(club.vehicleId));
      return String(headers.location).replace('uploads/', '');
    },
    run: async () => {
      const { id } = await made(inviter.post('/analysis-runs', { platform: 'skua' }));
      await server.jobs.idle();
      return id;
    },
    token: async () => (await made(owner.post('/tokens', { name: 'a script', scopes: ['all'], days: 1 }))).id,
  };
  for (const role of SIGNED_IN) {
    for (const scope of TOKEN_SCOPES) {
      const { secret } = await made(club.as[role].post('/tokens', { name: scope, scopes: [scope], days: 30 }));
      programs.set(`${role} ${scope}`, club.as[role].withToken(secret));
    }
  }
  declared = new Map([...HIDDEN, ...(await declaredInOpenApi())]);
});
afterAll(() => server.close());

/** What the OpenAPI document leaves out: itself, and the pages. */
const HIDDEN: readonly (readonly [string, Access])[] = [
  ['GET /api/openapi.json', 'public'],
  ['GET /*', 'public'],
];

/** Every operation of the document with who may call it, named as the table names it. */
async function declaredInOpenApi(): Promise<[string, Access][]> {
  const { paths } = (await server.app.inject({ url: '/api/openapi.json' })).json();
  return Object.entries<Record<string, { 'x-access'?: Access }>>(paths).flatMap(([path, operations]) =>
    Object.entries(operations).map(([method, operation]): [string, Access] => {
      const name = `${method.toUpperCase()} ${path.replace(/\{(\w+)\}/g, ':$1')}`;
      const access = operation['x-access'];
      if (access === undefined) throw new Error(`${name} declares no access`);
      return [name, access];
    }),
  );
}

function expectedStatus(role: RoleName, name: string): number {
  const { success, isOwn, isPersonal } = ROUTE_CASES[name];
  const access = declared.get(name) as Access;
  const holder = ROLE_OF[role];
  if (access === 'public') return success;
  if (holder === null) return 401;
  if (!mayDo(holder, access)) return 403;
  if (isPersonal && role !== 'tester') return 404;
  return isOwn && role === 'otherTester' ? 404 : success;
}

it('every route stands in the OpenAPI document, or is known to be left out', () => {
  const routes = server.routes.filter(({ method }) => method !== 'HEAD');
  expect(Object.fromEntries(declared)).toEqual(
    Object.fromEntries(routes.map(({ method, url, access }) => [`${method} ${url}`, access])),
  );
});

it('every route stands in the table of calls, and every call of the table is a route', () => {
  expect([...declared.keys()].sort()).toEqual(Object.keys(ROUTE_CASES).sort());
});

/** What is everybody's: a tester may name it whoever made it. */
const SHARED_IDS = ['platformId', 'dialectId', 'version'];

describe('a tester who names the things of another', () => {
  it('is told by every route with an id that there is no such thing', async () => {
    const tried: [string, number][] = [];
    for (const [name, access] of declared) {
      const ids = [...name.matchAll(/:(\w+)/g)].map(([, id]) => id).filter((id) => !SHARED_IDS.includes(id));
      if (ids.length === 0 || access === 'public' || !mayDo('tester', access)) continue;
      const response = await ROUTE_CASES[name].call(club.as.otherTester, things);
      tried.push([name, response.statusCode]);
    }
    expect(tried.length).toBeGreaterThan(20);
    expect(tried.filter(([, status]) => status !== 404)).toEqual([]);
  });
});

// Signing out ends the sign-in that the other calls use, so that it comes last.
const SIGN_OUT = 'DELETE /api/v1/session';
const names = Object.keys(ROUTE_CASES).sort((a, b) => Number(a === SIGN_OUT) - Number(b === SIGN_OUT));

describe.each(SIGNED_IN.flatMap((role) => TOKEN_SCOPES.map((scope) => [role, scope] as const)))(
  'a token of the %s for %s',
  (role, scope) => {
    it.each(names)('is answered as role and scope together allow: %s', async (name) => {
      const client = programs.get(`${role} ${scope}`) as Client;
      const response = await ROUTE_CASES[name].call(client, things);
      const access = declared.get(name) as Access;
      const isOutOfScope = access !== 'public' && mayDo(ROLE_OF[role] as Role, access) && !scopesAllow([scope], access);
      const status = isOutOfScope ? 403 : expectedStatus(role, name);
      const code = isOutOfScope ? 'token.outOfScope' : refusalOf(name, status);
      expect({ status: response.statusCode, body: code ? response.json() : response.body }).toMatchObject({
        status,
        ...(code && { body: { code } }),
      });
    });
  },
);

describe.each(Object.keys(ROLE_OF) as RoleName[])('%s', (role) => {
  it.each(names)('is answered as declared: %s', async (name) => {
    const response = await ROUTE_CASES[name].call(club.as[role], things);
    const status = expectedStatus(role, name);
    const refusal = refusalOf(name, status);
    expect({ status: response.statusCode, body: refusal ? response.json() : response.body }).toMatchObject({
      status,
      ...(refusal && { body: { code: refusal } }),
    });
  });
});

describe('a reader', () => {
  it('may write nothing but her own account', async () => {
    const writes = [...declared].filter(([name, access]) => !/^(GET|OPTIONS)/.test(name) && access !== 'public');
    const allowed = writes.filter(([, access]) => access !== 'session:own' && mayDo('reader', access as Permission));
    // Asks in a body which files are there already, and changes nothing.
    expect(allowed).toEqual([['POST /api/v1/uploads/known', 'own:log:read']]);
    expect(writes.length).toBeGreaterThan(50);
  });

  it('may read what a reviewer may, but not what people outside the club wrote for maintainers and reviewers', () => {
    const differs = (Object.keys(PERMISSIONS) as Permission[]).filter(
      (permission) => permission.endsWith(':read') && mayDo('reviewer', permission) !== mayDo('reader', permission),
    );
    expect(differs).toEqual(['application:read']);
  });
});

import { Client, clientOf } from './client.js';
import { AGREED, type Club, join, made, PASSWORD } from './club.js';
import type { TestServer } from './server.js';

/** What calls of accounts are about. */
export interface AccountThings {
  readonly club: Club;
  /** A member made for one call, whom nothing else needs. */
  readonly member: () => Promise<{ readonly id: string; readonly client: Client; readonly email: string }>;
  /** Id of a fresh sign-in of the tester. */
  readonly session: () => Promise<string>;
  /** Secret of a fresh link for a new password. */
  readonly reset: () => Promise<string>;
}

/** Brings the club what `ACCOUNT_CASES` need. */
export async function accountThings(
  server: TestServer,
  { maintainer, unique }: { readonly maintainer: Client; readonly unique: () => string },
): Promise<Omit<AccountThings, 'club'>> {
  const member = async () => {
    const name = unique();
    const client = await join(server, maintainer, 'tester', name);
    return { id: client.personId ?? '', client, email: `${name}@club.test` };
  };
  return {
    member,
    session: async () => {
      const credentials = { email: 'thrift@club.test', password: PASSWORD };
      const client = clientOf(server, await new Client(server).post('/session', credentials));
      const { items } = await made(client.get('/sessions'));
      return items.find((session: { isCurrent: boolean }) => session.isCurrent).id;
    },
    reset: async () => {
      const { path } = await made(maintainer.post(`/people/${(await member()).id}/reset-link`));
      return path.replace('/reset/', '');
    },
  };
}

interface AccountCase {
  /** What a permitted caller is answered. */
  readonly success: number;
  /** Whether it is about a thing that only the tester has: even a maintainer is told that there is none. */
  readonly isPersonal?: boolean;
  call(client: Client, things: AccountThings): ReturnType<Client['get']>;
}

const read = (path: string): AccountCase => ({ success: 200, call: (client) => client.get(path) });
const PASSWORD_ALONE = { password: PASSWORD };

/** Every route of accounts and the audit trail with one good call of it. */
export const ACCOUNT_CASES: Readonly<Record<string, AccountCase>> = {
  'GET /api/v1/sessions': read('/sessions'),
  'DELETE /api/v1/sessions/:sessionId': {
    success: 204,
    isPersonal: true,
    call: async (client, { session }) => client.delete(`/sessions/${await session()}`),
  },
  'POST /api/v1/session/consent': { success: 200, call: (client) => client.post('/session/consent', AGREED) },
  // The right one would end the sign-ins that other calls come by; `accounts.test.ts` gives it.
  'PUT /api/v1/session/password': {
    success: 403,
    call: (client) => client.put('/session/password', { password: 'wrong', newPassword: PASSWORD }),
  },
  // Nobody has come back from a provider.
  'POST /api/v1/session/code': { success: 401, call: (client) => client.post('/session/code', { code: '123456' }) },

  'GET /api/v1/second-factor': read('/second-factor'),
  'POST /api/v1/second-factor': { success: 201, call: (client) => client.post('/second-factor', PASSWORD_ALONE) },
  'POST /api/v1/second-factor/confirm': {
    success: 401,
    call: async (client) => {
      await client.post('/second-factor', PASSWORD_ALONE);
      return client.post('/second-factor/confirm', { code: 'no code' });
    },
  },
  // Nobody of the club has one; `second-factor.test.ts` goes the whole way.
  'POST /api/v1/second-factor/recovery-codes': {
    success: 409,
    call: (client) => client.post('/second-factor/recovery-codes', PASSWORD_ALONE),
  },
  'POST /api/v1/second-factor/removal': {
    success: 204,
    call: async (client) => {
      await client.post('/second-factor', PASSWORD_ALONE);
      return client.post('/second-factor/removal', PASSWORD_ALONE);
    },
  },

  'DELETE /api/v1/people/:personId/sessions': {
    success: 204,
    call: async (client, { member }) => client.delete(`/people/${(await member()).id}/sessions`),
  },
  'PUT /api/v1/people/:personId/suspension': {
    success: 200,
    call: async (client, { member }) => client.put(`/people/${(await member()).id}/suspension`, { reason: 'left' }),
  },
  'DELETE /api/v1/people/:personId/suspension': {
    success: 200,
    call: async (client, { member }) => client.delete(`/people/${(await member()).id}/suspension`),
  },
  'DELETE /api/v1/people/:personId/second-factor': {
    success: 409,
    call: async (client, { member }) => client.delete(`/people/${(await member()).id}/second-factor`),
  },
  'POST /api/v1/people/:personId/erasure': {
    success: 200,
    call: async (client, { member }) => {
      const { id, email } = await member();
      return client.post(`/people/${id}/erasure`, { email });
    },
  },
  // The right address would remove those who make the other calls; `erasure.test.ts` gives it.
  'POST /api/v1/session/erasure': {
    success: 422,
    call: (client) => client.post('/session/erasure', { email: 'somebody@else.test' }),
  },
  'GET /api/v1/server': read('/server'),
  'POST /api/v1/people/:personId/reset-link': {
    success: 201,
    call: async (client, { member }) => client.post(`/people/${(await member()).id}/reset-link`),
  },
  'GET /api/v1/resets/:secret': {
    success: 200,
    call: async (client, { reset }) => client.get(`/resets/${await reset()}`),
  },
  'POST /api/v1/resets/:secret': {
    success: 204,
    call: async (client, { reset }) => client.post(`/resets/${await reset()}`, { newPassword: 'bladder campion' }),
  },

  'GET /api/v1/openid': read('/openid'),
  // The club of the tests has no provider; `openid.test.ts` has one.
  'POST /api/v1/openid/begin': { success: 404, call: (client) => client.post('/openid/begin', {}) },
  'GET /api/v1/openid/callback': { success: 303, call: (client) => client.get('/openid/callback?code=1') },

  'GET /api/v1/audit': read('/audit'),
  'GET /api/v1/audit/chain': read('/audit/chain'),
  'GET /api/v1/audit.csv': read('/audit.csv'),
  'GET /api/v1/audit.jsonl': read('/audit.jsonl'),
};

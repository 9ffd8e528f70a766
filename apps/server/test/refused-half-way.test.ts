import { once } from 'node:events';
import { connect, type Socket } from 'node:net';
import { text } from 'node:stream/consumers';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { type Club, foundClub, made } from './support/club.js';
import { startServer, type TestServer } from './support/server.js';

const MAX_LOG_BYTES = 1_000_000;
/** More than the buffers on the way hold, so that the server has refused long before the end was sent. */
const SENT_BYTES = 40_000_000;

let server: TestServer;
let club: Club;
let address: string;
beforeAll(async () => {
  server = await startServer({ settings: { maxLogBytes: MAX_LOG_BYTES, testerQuotaBytes: 2 * MAX_LOG_BYTES } });
  club = await foundClub(server);
  address = await server.app.listen({ host: '127.0.0.1', port: 0 });
});
afterAll(() => server.close());

interface Sending {
  readonly method?: string;
  readonly headers?: Record<string, string>;
}

/** Begins a request of the tester whose body comes in chunks (RFC 9112 section 7.1), so that its length is not known. */
async function begin(path: string, { method = 'POST', headers = {} }: Sending = {}): Promise<Socket> {
  const { hostname, port } = new URL(address);
  const socket = connect(Number(port), hostname);
  await once(socket, 'connect');
  const said = {
    host: 'club.test',
    origin: 'http://club.test',
    cookie: club.as.tester.cookie ?? '',
    'content-type': 'text/csv',
    ...headers,
    'transfer-encoding': 'chunked',
  };
  const lines = Object.entries(said).map(([name, value]) => `${name}: ${value}\r\n`);
  socket.write(`${method} /api/v1${path} HTTP/1.1\r\n${lines.join('')}\r\n`);
  return socket;
}

const CHUNK = Buffer.concat([Buffer.from(`${(100_000).toString(16)}\r\n`), Buffer.alloc(100_000), Buffer.from('\r\n')]);

/** Sends it all and only then reads the answer, as many clients do. */
async function sendAll(path: string, how: Sending = {}) {
  const socket = await begin(path, how);
  for (let sent = 0; sent < SENT_BYTES; sent += CHUNK.length) {
    if (!socket.write(CHUNK)) await once(socket, 'drain');
  }
  socket.end('0\r\n\r\n');
  const [head, body] = (await text(socket)).split('\r\n\r\n');
  return { status: Number(head?.split(' ')[1]), problem: JSON.parse(body || '{}') as { code?: string } };
}

const toCar = (vehicleId: string) => `/logs?vehicle=${vehicleId}&fileName=drive.csv`;

it.each(['keep-alive', 'close'])(
  'a sender of more than is taken reads why, though it was refused in the middle (connection: %s)',
  async (connection) => {
    const answer = await sendAll(toCar(club.vehicleId), { headers: { connection } });
    expect(answer).toMatchObject({ status: 413, problem: { code: 'log.tooLarge' } });
  },
);

it('a sender that was refused before its body was looked at reads why', async () => {
  expect(await sendAll(toCar(club.otherVehicleId))).toMatchObject({ status: 404 });
  expect(await sendAll(toCar(club.vehicleId), { headers: { cookie: '' } })).toMatchObject({ status: 401 });
  expect(await sendAll(toCar(club.vehicleId), { headers: { 'content-type': 'application/json' } })).toMatchObject({
    status: 415,
  });
});

it('a sender of more than an upload announced reads why', async () => {
  const begun = await fetch(`${address}/api/v1/uploads`, {
    method: 'POST',
    headers: {
      cookie: club.as.tester.cookie ?? '',
      origin: address,
      'tus-resumable': '1.0.0',
      'upload-length': '500000',
      'upload-metadata': `vehicle ${btoa(club.vehicleId)},fileName ${btoa('drive.csv')}`,
    },
  });
  const headers = {
    'tus-resumable': '1.0.0',
    'upload-offset': '0',
    'content-type': 'application/offset+octet-stream',
  };
  const path = `/${begun.headers.get('location')}`;
  expect(await sendAll(path, { method: 'PATCH', headers })).toMatchObject({ status: 413 });
});

it('a sender that goes on and on is cut off', async () => {
  const socket = await begin(toCar(club.vehicleId));
  const answered = once(socket, 'data');
  const closed = new Promise((resolve) => socket.once('close', resolve));
  socket.on('error', () => undefined);
  const pump = setInterval(() => socket.write(CHUNK), 5);
  expect(String(await answered)).toMatch(/^HTTP\/1.1 413 /);
  await closed;
  clearInterval(pump);
  expect((await made(club.as.tester.get('/logs'))).totalCount).toBe(0);
});

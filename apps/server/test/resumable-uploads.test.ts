import { createHash, randomBytes } from 'node:crypto';
import { readdirSync } from 'node:fs';
import { type IncomingMessage, request } from 'node:http';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import type { Client } from './support/client.js';
import { type Club, foundClub, made } from './support/club.js';
import { startServer, type TestServer } from './support/server.js';
import { syntheticDriveCsv } from './support/synthetic-drive.js';

const DAY_MS = 24 * 3600_000;
const MAX_LOG_BYTES = 2_000_000;
const QUOTA_BYTES = 5_000_000;

let server: TestServer;
let club: Club;
let address: string;
beforeAll(async () => {
  server = await startServer({ settings: { maxLogBytes: MAX_LOG_BYTES, testerQuotaBytes: QUOTA_BYTES } });
  club = await foundClub(server);
  address = await server.app.listen({ host: '127.0.0.1', port: 0 });
});
afterAll(() => server.close());

const tester = () => club.as.tester;
let offsetRpm = 100;
const newDrive = () => Buffer.from(syntheticDriveCsv({ offsetRpm: ++offsetRpm }));
const sha256 = (bytes: Buffer) => createHash('sha256').update(bytes).digest('hex');
const uploadFiles = () => readdirSync(join(server.folder, 'data', 'uploads'));

/** A request of the tus protocol as a browser of `client` sends it. */
function tus(
  client: Client,
  method: string,
  path: string,
  { headers = {}, body }: { headers?: Record<string, string>; body?: Buffer } = {},
): Promise<Response> {
  return fetch(`${address}/api/v1/${path}`, {
    method,
    headers: {
      'tus-resumable': '1.0.0',
      origin: address,
      ...(client.cookie && { cookie: client.cookie }),
      ...(body && { 'content-type': 'application/offset+octet-stream' }),
      ...headers,
    },
    ...(body && { body: new Uint8Array(body) }),
  });
}

const metadata = (said: Record<string, string>) =>
  Object.entries(said)
    .map(([key, value]) => `${key} ${Buffer.from(value).toString('base64')}`)
    .join(',');

function create(
  client: Client,
  sizeBytes: number,
  said: Record<string, string> = {},
  more: Parameters<typeof tus>[3] = {},
): Promise<Response> {
  const headers = {
    'upload-length': String(sizeBytes),
    'upload-metadata': metadata({ vehicle: club.vehicleId, fileName: 'drive.csv', ...said }),
  };
  return tus(client, 'POST', 'uploads', { ...more, headers: { ...headers, ...more.headers } });
}

/** Address of a new upload, below /api/v1. */
async function begun(sizeBytes: number, said: Record<string, string> = {}): Promise<string> {
  const response = await create(tester(), sizeBytes, said);
  expect({ status: response.status, body: await response.text() }).toEqual({ status: 201, body: '' });
  return response.headers.get('location') ?? '';
}

const patch = (path: string, offset: number, body: Buffer, client = tester()) =>
  tus(client, 'PATCH', path, { headers: { 'upload-offset': String(offset) }, body });
const offsetOf = async (path: string) => (await tus(tester(), 'HEAD', path)).headers.get('upload-offset');
const stateOf = (path: string) => made(tester().get(`/${path}`));

/** Begins a PATCH by hand, of which the sender may let go. */
function slowPatch(path: string, offset: number, announcedBytes: number) {
  const sender = request(`${address}/api/v1/${path}`, {
    method: 'PATCH',
    headers: {
      'tus-resumable': '1.0.0',
      origin: address,
      cookie: tester().cookie,
      'upload-offset': String(offset),
      'content-type': 'application/offset+octet-stream',
      'content-length': String(announcedBytes),
    },
  });
  const answer = new Promise<IncomingMessage | undefined>((resolve) => {
    sender.once('response', (response) => resolve(response.resume()));
    sender.once('error', () => resolve(undefined));
  });
  return { sender, answer };
}

describe('an upload in pieces', () => {
  it('becomes one log with its bytes, and the last answer says which', async () => {
    const bytes = newDrive();
    const path = await begun(bytes.length, { sha256: sha256(bytes), drivenAt: '2026-02-20T10:00:00Z' });
    const pieces = [bytes.subarray(0, 1000), bytes.subarray(1000, 30_000), bytes.subarray(30_000)];
    const answers: Response[] = [];
    let offset = 0;
    for (const piece of pieces) {
      answers.push(await patch(path, offset, piece));
      offset += piece.length;
    }
    expect(answers.map(({ status, headers }) => [status, headers.get('upload-offset')])).toEqual([
      [204, '1000'],
      [204, '30000'],
      [204, String(bytes.length)],
    ]);
    const logId = answers[2].headers.get('syncline-log');
    const log = await made(tester().get(`/logs/${logId}`));
    expect(log).toMatchObject({ fileName: 'drive.csv', sha256: sha256(bytes), drivenAt: '2026-02-20T10:00:00.000Z' });
    expect((await tester().get(`/logs/${logId}/original`)).rawPayload.equals(bytes)).toBe(true);
    expect(await stateOf(path)).toMatchObject({ state: 'done', logId, isDuplicate: false, twin: null });
    expect(uploadFiles()).toEqual([]);
    expect(await offsetOf(path)).toBe(String(bytes.length));
    await server.jobs.idle();
  });

  it('may send its first bytes, or all of them, with its creation', async () => {
    const bytes = newDrive();
    const first = await create(tester(), bytes.length, {}, { body: bytes.subarray(0, 500) });
    expect([first.status, first.headers.get('upload-offset')]).toEqual([201, '500']);
    const path = first.headers.get('location') ?? '';
    const last = await patch(path, 500, bytes.subarray(500));
    expect(last.headers.get('syncline-log')).not.toBeNull();
    const other = newDrive();
    const whole = await create(tester(), other.length, {}, { body: other });
    expect(whole.status).toBe(201);
    const log = await made(tester().get(`/logs/${whole.headers.get('syncline-log')}`));
    expect(log.sha256).toBe(sha256(other));
    await server.jobs.idle();
  });

  it('says where it stands, what it was begun with and until when it is kept', async () => {
    const path = await begun(100, { head: 'a'.repeat(64) });
    const response = await tus(tester(), 'HEAD', path);
    expect(response.status).toBe(200);
    expect(Object.fromEntries(response.headers)).toMatchObject({
      'tus-resumable': '1.0.0',
      'upload-offset': '0',
      'upload-length': '100',
      'cache-control': 'no-store',
      'upload-metadata': metadata({ vehicle: club.vehicleId, fileName: 'drive.csv', head: 'a'.repeat(64) }),
      'upload-expires': new Date(server.time.nowMs + 7 * DAY_MS).toUTCString(),
    });
    const { items, room } = await made(tester().get('/uploads'));
    expect(items.at(-1)).toMatchObject({ fileName: 'drive.csv', sizeBytes: 100, receivedBytes: 0, state: 'receiving' });
    expect(room).toMatchObject({ pendingBytes: 100, quotaBytes: QUOTA_BYTES, maxFileBytes: MAX_LOG_BYTES });
    expect((await tus(tester(), 'DELETE', path)).status).toBe(204);
    expect((await made(tester().get('/uploads'))).room.pendingBytes).toBe(0);
  });

  it('goes on after the bytes that had come when its connection broke', async () => {
    const bytes = newDrive();
    const path = await begun(bytes.length);
    const { sender, answer } = slowPatch(path, 0, bytes.length);
    sender.write(bytes.subarray(0, 20_000));
    await vi.waitFor(async () => expect((await stateOf(path)).receivedBytes).toBe(20_000));
    sender.destroy();
    expect(await answer).toBeUndefined();
    expect(await offsetOf(path)).toBe('20000');
    const last = await patch(path, 20_000, bytes.subarray(20_000));
    expect((await made(tester().get(`/logs/${last.headers.get('syncline-log')}`))).sha256).toBe(sha256(bytes));
    await server.jobs.idle();
  });

  it('asked for by a second sender, is let go by the first, and no byte is mixed up', async () => {
    const bytes = newDrive();
    const path = await begun(bytes.length, { sha256: sha256(bytes) });
    const first = slowPatch(path, 0, bytes.length);
    first.sender.write(bytes.subarray(0, 5000));
    await vi.waitFor(async () => expect((await stateOf(path)).receivedBytes).toBe(5000));
    const second = await patch(path, 5000, bytes.subarray(5000));
    const letGo = await first.answer;
    first.sender.destroy();
    expect([letGo?.statusCode, letGo?.headers['upload-offset']]).toEqual([204, '5000']);
    expect([second.status, second.headers.get('upload-offset')]).toEqual([204, String(bytes.length)]);
    expect(await stateOf(path)).toMatchObject({ state: 'done' });
    await server.jobs.idle();
  });

  it('takes bytes of only one of two senders at once', async () => {
    const bytes = randomBytes(400_000);
    const path = await begun(bytes.length, { sha256: sha256(bytes) });
    const answers = await Promise.all([patch(path, 0, bytes), patch(path, 0, bytes)]);
    const statuses = answers.map(({ status }) => status);
    expect(statuses.filter((status) => status !== 204)).toHaveLength(1);
    expect(await stateOf(path)).toMatchObject({ state: 'done', receivedBytes: bytes.length });
    await server.jobs.idle();
  });

  it('is told as known before a byte of it is sent', async () => {
    const bytes = newDrive();
    const { log } = await made(tester().upload(club.vehicleId, bytes));
    const known = { vehicle: club.vehicleId, sha256: [sha256(bytes), 'f'.repeat(64)] };
    expect(await made(tester().post('/uploads/known', known))).toEqual({
      items: [{ sha256: sha256(bytes), logId: log.id, fileName: 'drive.csv' }],
    });
    const response = await create(tester(), bytes.length, { sha256: sha256(bytes) });
    expect([response.status, response.headers.get('upload-offset'), response.headers.get('syncline-log')]).toEqual([
      201,
      String(bytes.length),
      log.id,
    ]);
    const path = response.headers.get('location') ?? '';
    expect(await stateOf(path)).toMatchObject({ state: 'done', logId: log.id, isDuplicate: true });
    expect((await patch(path, 0, bytes)).status).toBe(409);
    expect((await made(tester().get('/uploads'))).room.pendingBytes).toBe(0);
    await server.jobs.idle();
  });

  it('is recognised by its bytes when its hash was not stated', async () => {
    const bytes = newDrive();
    const { log } = await made(tester().upload(club.vehicleId, bytes));
    const path = await begun(bytes.length);
    expect((await patch(path, 0, bytes)).headers.get('syncline-log')).toBe(log.id);
    expect(await stateOf(path)).toMatchObject({ logId: log.id, isDuplicate: true });
    await server.jobs.idle();
  });

  it('stays two logs when it came packed and plain, and says so', async () => {
    const bytes = newDrive();
    const { log, twin } = await made(tester().upload(club.vehicleId, bytes, { fileName: 'plain.csv' }));
    expect(twin).toBeNull();
    const packed = gzipSync(bytes);
    const path = await begun(packed.length, { fileName: 'packed.csv.gz' });
    const last = await patch(path, 0, packed);
    expect(last.headers.get('syncline-log')).not.toBe(log.id);
    expect(await stateOf(path)).toMatchObject({ isDuplicate: false, twin: { id: log.id, fileName: 'plain.csv' } });
    await server.jobs.idle();
  });

  it('whose last step was broken off is finished when it is asked for again', async () => {
    const bytes = newDrive();
    const path = await begun(bytes.length, { sha256: sha256(bytes) });
    // The process ended after the last byte and before the log had its row.
    const uploadId = path.replace('uploads/', '');
    await server.store.uploads.append(uploadId, 0, [bytes] as unknown as AsyncIterable<Uint8Array>);
    expect(await stateOf(path)).toMatchObject({ state: 'receiving', receivedBytes: bytes.length });
    const [first, second] = await Promise.all([tus(tester(), 'HEAD', path), tus(tester(), 'HEAD', path)]);
    const logId = first.headers.get('syncline-log');
    expect(second.headers.get('syncline-log')).toBe(logId);
    expect((await made(tester().get(`/logs/${logId}`))).sha256).toBe(sha256(bytes));
    await server.jobs.idle();
  });
});

describe('an upload belongs to its sender', () => {
  it.each(['otherTester', 'maintainer'] as const)('and does not exist for: %s', async (who) => {
    const path = await begun(100);
    const client = club.as[who];
    const answers = [
      await tus(client, 'HEAD', path),
      await tus(client, 'GET', path),
      await patch(path, 0, Buffer.alloc(100), client),
      await tus(client, 'DELETE', path),
    ];
    expect(answers.map(({ status }) => status)).toEqual([404, 404, 404, 404]);
    expect((await made(client.get('/uploads'))).items).toEqual([]);
    expect(await offsetOf(path)).toBe('0');
    await tus(tester(), 'DELETE', path);
  });

  it('and nobody takes part without signing in, or from another site', async () => {
    const path = await begun(100);
    expect((await tus(club.as.noOne, 'HEAD', path)).status).toBe(401);
    const elsewhere = await tus(tester(), 'PATCH', path, {
      headers: { 'upload-offset': '0', origin: 'https://elsewhere.test' },
      body: Buffer.alloc(100),
    });
    expect([elsewhere.status, (await elsewhere.json()).code]).toEqual([403, 'session.badOrigin']);
    expect((await tus(club.as.reviewer, 'HEAD', path)).status).toBe(403);
    await tus(tester(), 'DELETE', path);
  });

  it('but for the car of another one it cannot be begun', async () => {
    const answers = [club.otherVehicleId, 'none'].map((vehicle) => create(tester(), 100, { vehicle }));
    expect((await Promise.all(answers)).map(({ status }) => status)).toEqual([404, 404]);
  });
});

describe('an upload is refused', () => {
  it.each([
    ['whose name leads out of its folder', { fileName: '../../etc/passwd' }],
    ['whose name has a folder', { fileName: 'logs\\drive.csv' }],
    ['whose name is no name', { fileName: '..' }],
    ['whose name has control characters', { fileName: 'a\u0000b\r\nset-cookie: x' }],
    ['without a name', { fileName: '' }],
    ['with a date that is none', { drivenAt: 'yesterday' }],
    ['with a hash that is none', { sha256: '0' }],
  ])('%s', async (_, said) => {
    const response = await create(tester(), 100, said);
    expect([response.status, (await response.json()).code]).toEqual([400, 'request.invalid']);
    expect(uploadFiles()).toEqual([]);
  });

  it.each([
    ['that is not base64', 'vehicle ###'],
    ['that names a key twice', 'vehicle YQ==,vehicle YQ=='],
    ['that reaches for the roots of objects', '__proto__ YQ==,vehicle YQ=='],
    ['that is empty', ' '],
  ])('with metadata %s', async (_, header) => {
    const response = await tus(tester(), 'POST', 'uploads', {
      headers: { 'upload-length': '100', 'upload-metadata': header },
    });
    expect([response.status, (await response.json()).code]).toEqual([400, 'request.invalid']);
  });

  it.each([
    ['without bytes', 0, {}, 422, 'log.empty'],
    ['larger than allowed', MAX_LOG_BYTES + 1, {}, 413, 'log.tooLarge'],
    ['for a revision that does not exist', 10, { revision: 'none' }, 404, 'resource.notFound'],
  ])('%s', async (_, sizeBytes, said, status, code) => {
    const response = await create(tester(), sizeBytes, said as Record<string, string>);
    expect([response.status, (await response.json()).code]).toEqual([status, code]);
  });

  it.each([
    ['without a length', { 'upload-metadata': metadata({ vehicle: 'x', fileName: 'y' }) }],
    ['with a length to be told later', { 'upload-defer-length': '1' }],
  ])('%s', async (_, headers) => {
    const response = await tus(tester(), 'POST', 'uploads', { headers: headers as Record<string, string> });
    expect((await response.json()).code).toBe('request.invalid');
  });

  it('when its bytes are not those that were announced, and leaves nothing but the reason', async () => {
    const { totalCount } = await made(tester().get('/logs'));
    const bytes = newDrive();
    const path = await begun(bytes.length, { sha256: '0'.repeat(64) });
    const last = await patch(path, 0, bytes);
    expect([last.status, (await last.json()).code]).toEqual([422, 'log.hashMismatch']);
    expect(await stateOf(path)).toMatchObject({ state: 'refused', problem: { code: 'log.hashMismatch' }, logId: null });
    expect((await tus(tester(), 'HEAD', path)).status).toBe(422);
    expect(uploadFiles()).toEqual([]);
    expect((await made(tester().get('/logs'))).totalCount).toBe(totalCount);
  });

  it('when it was given up because it stood still for a week, and is forgotten', async () => {
    const path = await begun(100);
    server.time.nowMs += 6 * DAY_MS;
    expect((await patch(path, 0, Buffer.alloc(10))).status).toBe(204);
    server.time.nowMs += 6 * DAY_MS;
    expect(await offsetOf(path)).toBe('10');
    server.time.nowMs += DAY_MS;
    const late = await patch(path, 10, Buffer.alloc(90));
    expect([late.status, (await late.json()).code]).toEqual([410, 'upload.expired']);
    server.store.uploads.sweep();
    expect((await tus(tester(), 'HEAD', path)).status).toBe(404);
    expect(uploadFiles()).toEqual([]);
  });
});

describe('a request of the protocol', () => {
  it('may ask what the server speaks', async () => {
    const { status, headers } = await tus(club.as.noOne, 'OPTIONS', 'uploads');
    expect(status).toBe(204);
    expect(Object.fromEntries(headers)).toMatchObject({
      'tus-resumable': '1.0.0',
      'tus-version': '1.0.0',
      'tus-extension': 'creation,creation-with-upload,termination,expiration',
      'tus-max-size': String(MAX_LOG_BYTES),
    });
    expect(headers.get('access-control-allow-origin')).toBeNull();
  });

  it('of another version is refused and told which is spoken', async () => {
    const response = await create(tester(), 100, {}, { headers: { 'tus-resumable': '0.2.2' } });
    expect([response.status, response.headers.get('tus-version')]).toEqual([412, '1.0.0']);
    expect((await response.json()).code).toBe('upload.protocol');
  });

  it.each([
    ['at another offset', '7', 10, 409, 'upload.offsetMismatch'],
    ['at an offset that is none', '-1', 10, 400, 'request.invalid'],
    ['that goes beyond the end', '0', 101, 413, 'log.tooLarge'],
  ])('%s writes nothing', async (_, offset, bytes, status, code) => {
    const path = await begun(100);
    const response = await tus(tester(), 'PATCH', path, {
      headers: { 'upload-offset': offset },
      body: Buffer.alloc(bytes),
    });
    expect([response.status, (await response.json()).code]).toEqual([status, code]);
    expect(await offsetOf(path)).toBe('0');
    await tus(tester(), 'DELETE', path);
  });

  it('in another media type is refused', async () => {
    const path = await begun(100);
    const response = await tus(tester(), 'PATCH', path, {
      headers: { 'upload-offset': '0', 'content-type': 'text/csv' },
      body: Buffer.alloc(10),
    });
    expect([response.status, (await response.json()).code]).toEqual([415, 'request.mediaType']);
    await tus(tester(), 'DELETE', path);
  });
});

import { createHash } from 'node:crypto';
import { readdirSync } from 'node:fs';
import { request } from 'node:http';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import { type Club, drive, foundClub, made, SIGNAL_MAP } from './support/club.js';
import { startServer, type TestServer } from './support/server.js';
import { syntheticDriveCsv } from './support/synthetic-drive.js';

let server: TestServer;
let club: Club;
beforeAll(async () => {
  server = await startServer({ settings: { maxLogBytes: 2_000_000 } });
  club = await foundClub(server);
});
afterAll(() => server.close());

const tester = () => club.as.tester;
let offsetRpm = 0;
/** A drive whose bytes no test has used before. */
const newDrive = (options = {}) => syntheticDriveCsv({ offsetRpm: ++offsetRpm, ...options });
const sha256 = (bytes: string | Buffer) => createHash('sha256').update(bytes).digest('hex');

describe('a drive log', () => {
  it('is accepted at once and has its shifts when its job is done', async () => {
    const response = await tester().upload(club.vehicleId, newDrive(), { drivenAt: '2026-02-20T10:00:00Z' });
    expect(response.statusCode).toBe(202);
    const { log, isDuplicate } = response.json();
    expect(isDuplicate).toBe(false);
    expect(log).toMatchObject({ state: 'waiting', drivenAt: '2026-02-20T10:00:00.000Z', revisionLabel: 'Shore r1' });
    await server.jobs.idle();
    const { shifts } = await made(tester().get(`/logs/${log.id}/shifts`));
    expect(shifts.map((shift: { kind: string }) => shift.kind)).toEqual(['1-2', '2-3']);
    expect(await made(tester().get(`/logs/${log.id}`))).toMatchObject({ state: 'ready', progress: 1, shiftCount: 2 });
  });

  it.each([
    [150, 'flare'],
    [0, 'clean'],
  ])('whose input speed rises %i rpm above its line is graded %s', async (flareRpm, grade) => {
    const log = await drive(server, tester(), club.vehicleId, newDrive({ flareRpm }));
    const { shifts } = await made(tester().get(`/logs/${log.id}/shifts`));
    expect(shifts.map((shift: { grades: string[] }) => shift.grades.includes(grade))).toEqual([true, true]);
  });

  it('is one log when its bytes come twice, and not when they come for another car', async () => {
    const bytes = newDrive();
    const first = await tester().upload(club.vehicleId, bytes);
    const again = await tester().upload(club.vehicleId, bytes, { fileName: 'other-name.csv' });
    expect([first.statusCode, again.statusCode]).toEqual([202, 200]);
    expect(again.json()).toMatchObject({ isDuplicate: true, log: { id: first.json().log.id, fileName: 'drive.csv' } });
    const elsewhere = await club.as.otherTester.upload(club.otherVehicleId, bytes);
    expect(elsewhere.json().isDuplicate).toBe(false);
    await server.jobs.idle();
  });

  it('comes back from the server as it came', async () => {
    const bytes = newDrive();
    const log = await drive(server, tester(), club.vehicleId, bytes, { fileName: 'Küste "1".csv' });
    const original = await tester().get(`/logs/${log.id}/original`);
    expect(original.body).toBe(bytes);
    expect(original.headers.etag).toBe(`"${sha256(bytes)}"`);
    expect(original.headers['content-disposition']).toBe(
      `attachment; filename="K_ste _1_.csv"; filename*=UTF-8''K%C3%BCste%20%221%22.csv`,
    );
  });

  it('may be a gzip file, which is kept packed', async () => {
    const packed = gzipSync(newDrive());
    const log = await drive(server, tester(), club.vehicleId, packed, { fileName: 'drive.csv.gz' });
    expect(log).toMatchObject({ state: 'ready', shiftCount: 2, sha256: sha256(packed), sizeBytes: packed.length });
  });

  it('may be packed for the way, and is then the file that was packed', async () => {
    const bytes = newDrive();
    const search = new URLSearchParams({ vehicle: club.vehicleId, fileName: 'drive.csv', sha256: sha256(bytes) });
    const headers = { 'content-type': 'text/csv', 'content-encoding': 'gzip' };
    const response = await tester().post(`/logs?${search}`, gzipSync(bytes), headers);
    expect(response.json()).toMatchObject({
      isDuplicate: false,
      log: { sha256: sha256(bytes), fileName: 'drive.csv' },
    });
    await server.jobs.idle();
  });

  it('is queued again by a maintainer and then found the same', async () => {
    const log = await drive(server, tester(), club.vehicleId, newDrive());
    const before = await made(tester().get(`/logs/${log.id}/shifts`));
    const overview = await made(tester().get('/fleet/overview?platform=skua'));
    expect((await club.as.maintainer.post(`/logs/${log.id}/analysis`)).statusCode).toBe(202);
    await server.jobs.idle();
    expect(await made(tester().get(`/logs/${log.id}/shifts`))).toEqual(before);
    expect(await made(tester().get('/fleet/overview?platform=skua'))).toEqual(overview);
  });
});

describe('an upload is refused', () => {
  it.each([
    ['without bytes', '', {}, 422, 'log.empty'],
    ['when its bytes hash to something else', 'a,b\n1,2\n', { sha256: '0'.repeat(64) }, 422, 'log.hashMismatch'],
    ['when it is larger than allowed', 'x'.repeat(2_000_001), {}, 413, 'log.tooLarge'],
    ['for a revision that does not exist', 'a,b\n1,2\n', { revision: 'none' }, 404, 'resource.notFound'],
    ['with a hash that is none', 'a,b\n1,2\n', { sha256: 'abc' }, 400, 'request.invalid'],
  ])('%s', async (_, bytes, query, status, code) => {
    const response = await tester().upload(club.vehicleId, bytes, query);
    expect({ status: response.statusCode, problem: response.json() }).toMatchObject({ status, problem: { code } });
  });

  it('for a car that does not exist, as for that of another tester', async () => {
    const [none, foreign] = [await tester().upload('none', 'a'), await tester().upload(club.otherVehicleId, 'a')];
    expect([none.statusCode, foreign.statusCode]).toEqual([404, 404]);
    expect(foreign.json().detail).toBe(none.json().detail);
  });

  it('without naming a car', async () => {
    const response = await tester().post('/logs?fileName=x.csv', 'a', { 'content-type': 'text/csv' });
    expect(response.json()).toMatchObject({ code: 'request.invalid', fields: [{ path: 'querystring.vehicle' }] });
  });

  it('in a media type that is not read', async () => {
    const response = await tester().post(`/logs?vehicle=${club.vehicleId}&fileName=x`, '{}', {
      'content-type': 'application/json',
    });
    expect(response.json()).toMatchObject({ code: 'request.mediaType', status: 415 });
  });

  it('when it unpacks to more than is allowed on its way', async () => {
    const headers = { 'content-type': 'text/csv', 'content-encoding': 'gzip' };
    const bomb = gzipSync(Buffer.alloc(3_000_000, '1,2,3\n'));
    const response = await tester().post(`/logs?vehicle=${club.vehicleId}&fileName=x`, bomb, headers);
    expect(response.json()).toMatchObject({ code: 'log.tooLarge' });
  });

  it.each(['deflate', 'br', 'gzip, gzip'])('in the coding %s, which is not unpacked', async (coding) => {
    const headers = { 'content-type': 'text/csv', 'content-encoding': coding };
    const response = await tester().post(`/logs?vehicle=${club.vehicleId}&fileName=x`, newDrive(), headers);
    expect(response.json()).toMatchObject({ code: 'request.mediaType', status: 415 });
  });

  it('when the disk has less free space than is to stay', async () => {
    const full = await startServer({ settings: { minFreeBytes: Number.MAX_SAFE_INTEGER } });
    try {
      const other = await foundClub(full);
      const response = await other.as.tester.upload(other.vehicleId, 'a,b\n1,2\n');
      expect(response.json()).toMatchObject({ code: 'storage.full', status: 507 });
    } finally {
      await full.close();
    }
  });

  it('and leaves no log behind', async () => {
    const { totalCount } = await made(tester().get('/logs'));
    await tester().upload(club.vehicleId, 'a,b\n1,2\n', { sha256: '0'.repeat(64) });
    expect((await made(tester().get('/logs'))).totalCount).toBe(totalCount);
  });
});

describe('a log that cannot be read', () => {
  it.each([
    ['a picture', Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]), /PNG picture.*CSV text/],
    ['a zip archive', Buffer.from('PK\u0003\u0004rest of it'), /zip archive/],
    ['text without columns', 'dear maintainer\nhere is my drive\n', /without a delimiter/],
    ['a torn gzip file', gzipSync('time,rpm\n'.repeat(5000)).subarray(0, 60), /gzip data are damaged/],
    [
      'a gzip file of too much',
      gzipSync(`${syntheticDriveCsv()}${'13,1,1,1,3,40,80\n'.repeat(150_000)}`),
      /unpacks to more than 2000000 bytes/,
    ],
  ])('is kept as failed and says what was seen: %s', async (_, bytes, said) => {
    const log = await drive(server, tester(), club.vehicleId, bytes);
    expect(log.state).toBe('failed');
    expect(log.problem.detail).toMatch(said);
    expect((await tester().get(`/logs/${log.id}/original`)).statusCode).toBe(200);
    expect((await tester().get(`/logs/${log.id}/signals?signals=inputSpeed`)).json().code).toBe('log.notReady');
  });
});

describe('a log with absurd figures', () => {
  it.each([
    ['times', newDrive().replace('\n12,', '\n1e308,').replace('\n0,', '\n-1e308,'), /times span Infinity s/],
    ['loads', newDrive().replaceAll(',40,80\n', ',1e307,80\n'), /overflows.*factors of the signal map/],
  ])('fails by its %s and leaves every list readable', async (_, csv, said) => {
    const log = await drive(server, tester(), club.vehicleId, csv);
    expect(log).toMatchObject({ state: 'failed', durationS: null, shiftCount: 0 });
    expect(log.problem.detail).toMatch(said);
    for (const path of ['/logs', '/shifts', '/fleet/overview?platform=skua']) {
      expect((await club.as.maintainer.get(path)).statusCode).toBe(200);
    }
  });
});

describe('a car without a signal map', () => {
  it('has its log wait with a suggestion, and analysed once the suggestion was accepted', async () => {
    const { platformId, id: vehicleId } = await made(
      tester().post('/vehicles', { ...(await made(tester().get(`/vehicles/${club.vehicleId}`))), title: 'New van' }),
    );
    expect(platformId).toBe('skua');
    const waiting = await drive(server, tester(), vehicleId, newDrive());
    expect(waiting).toMatchObject({ state: 'awaitingMap', problem: null, inspection: { delimiter: 'comma' } });
    const { suggestion } = waiting.inspection;
    expect(suggestion.time).toEqual(SIGNAL_MAP.time);
    await made(tester().put(`/vehicles/${vehicleId}/signal-map`, suggestion));
    await server.jobs.idle();
    expect(await made(tester().get(`/logs/${waiting.id}`))).toMatchObject({ state: 'ready', shiftCount: 2 });
  });

  it('whose map names columns that the file lacks has its log wait for another map', async () => {
    const renamed = newDrive().replace('input speed (rpm)', 'turbine (rpm)');
    const log = await drive(server, tester(), club.vehicleId, renamed);
    expect(log).toMatchObject({ state: 'awaitingMap', problem: { code: 'signalMap.invalid' } });
    expect(log.problem.detail).toContain('input speed (rpm)');
  });

  it.each([
    ['an unknown signal', { signal: 'mood', column: 'x', unit: '' }, /There is no signal 'mood'/],
    ['a unit that does not fit', { signal: 'pedal', column: 'x', unit: 'rpm' }, /pedal cannot be in “rpm”/],
  ])('is not given one with %s', async (_, entry, said) => {
    const map = { ...SIGNAL_MAP, signals: [...SIGNAL_MAP.signals, entry] };
    const response = await tester().put(`/vehicles/${club.vehicleId}/signal-map`, map);
    expect(response.json()).toMatchObject({ code: 'signalMap.invalid', findings: [{ where: 'x' }] });
    expect(response.json().findings[0].message).toMatch(said);
  });

  it('whose map leaves out a speed has its log wait until a map names it', async () => {
    const map = { ...SIGNAL_MAP, signals: SIGNAL_MAP.signals.filter((entry) => entry.signal !== 'inputSpeed') };
    await made(tester().put(`/vehicles/${club.vehicleId}/signal-map`, map));
    const log = await drive(server, tester(), club.vehicleId, newDrive());
    expect(log).toMatchObject({ state: 'awaitingMap', problem: { code: 'signalMap.invalid' } });
    expect(log.problem.detail).toContain('inputSpeed');
    await made(tester().put(`/vehicles/${club.vehicleId}/signal-map`, SIGNAL_MAP));
    await server.jobs.idle();
    expect((await made(tester().get(`/logs/${log.id}`))).state).toBe('ready');
  });
});

describe('a car whose signal map was wrong', () => {
  it('has a log that could not be timed analysed again with the corrected map', async () => {
    const inMilliseconds = { ...SIGNAL_MAP, time: { ...SIGNAL_MAP.time, format: 'milliseconds' } };
    const csv = newDrive().replace(/^([\d.]+),/gm, (_, seconds) => `${Number(seconds) * 1000},`);
    const refused = await drive(server, tester(), club.vehicleId, csv);
    expect(refused).toMatchObject({ state: 'refused', problem: { code: 'log.noTiming' } });
    await made(tester().put(`/vehicles/${club.vehicleId}/signal-map`, inMilliseconds));
    await server.jobs.idle();
    expect(await made(tester().get(`/logs/${refused.id}`))).toMatchObject({ state: 'ready', shiftCount: 2 });
    await made(tester().put(`/vehicles/${club.vehicleId}/signal-map`, SIGNAL_MAP));
    await server.jobs.idle();
  });
});

describe('over a real connection, a sender', () => {
  let address: string;
  beforeAll(async () => {
    address = await server.app.listen({ host: '127.0.0.1', port: 0 });
  });

  it.each([
    ['torn', gzipSync(newDrive()).subarray(0, 2000)],
    ['no gzip at all', Buffer.from('time,rpm\n')],
  ])('of a gzip body that is %s is told so', async (_, body) => {
    const response = await fetch(`${address}/api/v1/logs?vehicle=${club.vehicleId}&fileName=torn.csv`, {
      method: 'POST',
      headers: {
        cookie: tester().cookie ?? '',
        origin: address,
        'content-type': 'text/csv',
        'content-encoding': 'gzip',
      },
      body,
    });
    expect(await response.json()).toMatchObject({ status: 422, code: 'log.unreadable' });
  });

  it('that hangs up leaves no log and no half-received file', async () => {
    const { totalCount } = await made(tester().get('/logs'));
    const sender = request(`${address}/api/v1/logs?vehicle=${club.vehicleId}&fileName=cut.csv`, {
      method: 'POST',
      headers: { cookie: tester().cookie, origin: address, 'content-type': 'text/csv', 'content-length': 1_000_000 },
    });
    sender.on('error', () => undefined);
    sender.write('time (s),input speed (rpm)\n'.repeat(1000));
    const incoming = join(server.folder, 'data', 'incoming');
    await vi.waitFor(() => expect(readdirSync(incoming)).toHaveLength(1));
    sender.destroy();
    await vi.waitFor(() => expect(readdirSync(incoming)).toHaveLength(0));
    expect((await made(tester().get('/logs'))).totalCount).toBe(totalCount);
  });
});

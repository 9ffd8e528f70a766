import type { LogShiftsResponse, ReportResponse } from '@syncline/contract';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type Club, drive, foundClub, made, SIGNAL_MAP } from './support/club.js';
import { startServer, type TestServer } from './support/server.js';
import { syntheticDriveCsv } from './support/synthetic-drive.js';

/** Presses of the button, each held for a while (s). */
const PRESSES = [
  { fromS: 2.5, toS: 3 },
  { fromS: 8.4, toS: 8.6 },
] as const;

let server: TestServer;
let club: Club;
let logId: string;
beforeAll(async () => {
  server = await startServer();
  club = await foundClub(server);
  const { tester } = club.as;
  const signals = [...SIGNAL_MAP.signals, { signal: 'mark', column: 'button', unit: '' }];
  await made(tester.put(`/vehicles/${club.vehicleId}/signal-map`, { ...SIGNAL_MAP, signals }));
  logId = (await drive(server, tester, club.vehicleId, withButton(syntheticDriveCsv({ flareRpm: 100 })))).id;
});
afterAll(() => server.close());

/** The same drive with a column that is 1 while the button is pressed. */
function withButton(csv: string): string {
  const [head, ...rows] = csv.trimEnd().split('\n');
  const pressed = (timeS: number) => PRESSES.some(({ fromS, toS }) => timeS >= fromS && timeS < toS);
  const lines = rows.map((row) => `${row},${pressed(Number(row.slice(0, row.indexOf(',')))) ? 1 : 0}`);
  return [`${head},button`, ...lines, ''].join('\n');
}

const path = (noteId = '') => `/logs/${logId}/notes${noteId && `/${noteId}`}`;

describe('marks of a button channel', () => {
  it('are found while the log is analysed', async () => {
    const { marks }: LogShiftsResponse = await made(club.as.tester.get(`/logs/${logId}/shifts`));
    expect(marks).toEqual([
      { id: 'mark-1', atS: 2.5 },
      { id: 'mark-2', atS: 8.4 },
    ]);
  });

  it('stand in the report with the shift nearest to them', async () => {
    const { marks }: ReportResponse = await made(club.as.tester.get(`/logs/${logId}/report`));
    // The drive shifts at 4 s and at 8 s.
    expect(marks).toMatchObject([
      { atS: 2.5, nearest: { kind: '1-2', grades: ['flare'] } },
      { atS: 8.4, nearest: { kind: '2-3', grades: ['flare'] } },
    ]);
    for (const { atS, nearest } of marks)
      expect(nearest?.apartS).toBeCloseTo(Math.abs((nearest?.commandS ?? 0) - atS), 9);
  });
});

describe('notes', () => {
  it('are changed and removed by who wrote them, with an Idempotency-Key as pages send it', async () => {
    const { tester } = club.as;
    const note = await made(tester.post(path(), { atS: 8.1, text: 'a jolt' }));
    expect(note).toMatchObject({ atS: 8.1, isOwn: true, editedAt: null });
    server.time.nowMs += 60_000;
    const changed = await made(tester.patch(path(note.id), { text: 'a jolt uphill' }));
    expect(changed).toMatchObject({
      id: note.id,
      atS: 8.1,
      text: 'a jolt uphill',
      editedAt: '2026-03-01T09:01:00.000Z',
    });
    expect((await made(tester.get(`/logs/${logId}/report`))).notes).toMatchObject([
      { text: 'a jolt uphill', nearest: { kind: '2-3' } },
    ]);
    const removed = await tester.send('DELETE', path(note.id), undefined, { 'idempotency-key': 'once' });
    expect([removed.statusCode, removed.body]).toEqual([204, '']);
    expect((await made(tester.get(path()))).items).toEqual([]);
    const again = await tester.send('DELETE', path(note.id), undefined, { 'idempotency-key': 'once' });
    expect(again.statusCode).toBe(204);
    expect((await tester.delete(path(note.id))).json()).toMatchObject({ code: 'resource.notFound' });
  });

  it('of somebody else are read and left alone', async () => {
    const { tester, maintainer } = club.as;
    const note = await made(tester.post(path(), { atS: 1, text: 'mine' }));
    expect((await made(maintainer.get(path()))).items).toMatchObject([{ id: note.id, isOwn: false }]);
    for (const answer of [
      await maintainer.patch(path(note.id), { text: 'yours' }),
      await maintainer.delete(path(note.id)),
    ]) {
      expect(answer.statusCode).toBe(403);
      expect(answer.json()).toMatchObject({ code: 'note.notYours', detail: 'Thrift wrote it.' });
    }
    expect((await made(tester.get(path()))).items).toMatchObject([{ text: 'mine' }]);
  });

  it('are those of the person whose token wrote them', async () => {
    const { tester } = club.as;
    const { secret } = await made(tester.post('/tokens', { name: 'logger', scopes: ['all'], days: 1 }));
    const note = await made(tester.withToken(secret).post(path(), { atS: 2, text: 'from a script' }));
    const changed = await made(tester.patch(path(note.id), { text: 'from my script' }));
    expect(changed).toMatchObject({ text: 'from my script' });
  });
});

describe('the report of a drive', () => {
  it('waits for the first analysis', async () => {
    const { tester } = club.as;
    await server.jobs.stop();
    const { log } = await made(tester.upload(club.vehicleId, syntheticDriveCsv({ offsetRpm: 5 })));
    expect((await tester.get(`/logs/${log.id}/report`)).json()).toMatchObject({ code: 'log.notReady' });
  });

  it('shows other cars nothing of this one, and this one nothing of fewer than three others', async () => {
    const { comparisons }: ReportResponse = await made(club.as.tester.get(`/logs/${logId}/report`));
    expect(comparisons).toMatchObject([
      { subject: 'sameRevision', kind: 'tooFew', reason: 'noSource' },
      { subject: 'fleetRevision', kind: 'tooFew', reason: 'tooFewCars', found: 0, needed: 3 },
      { subject: 'fleetPlatform', kind: 'tooFew', reason: 'tooFewCars', found: 0, needed: 3 },
    ]);
    expect((await club.as.otherTester.get(`/logs/${logId}/report`)).statusCode).toBe(404);
  });
});

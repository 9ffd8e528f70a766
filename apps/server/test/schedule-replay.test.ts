import type { RevisionResponse, ScheduleReplay } from '@syncline/contract';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Client } from './support/client.js';
import { CAR, type Club, drive, foundClub, made, SIGNAL_MAP } from './support/club.js';
import { edited, SECOND_LAYOUT } from './support/second-layout.js';
import { startServer, type TestServer } from './support/server.js';
import { syntheticDriveCsv } from './support/synthetic-drive.js';

let server: TestServer;
let club: Club;
let eryngo: Client;
let logId: string;
let bareLogId: string;
let calm: RevisionResponse;
let eager: RevisionResponse;

/** The synthetic drive with a pedal held at 50 % and the first program. */
function pedalDriveCsv(): string {
  const [head, ...rows] = syntheticDriveCsv().trimEnd().split('\n');
  return `${[`${head},pedal (%),program`, ...rows.map((row) => `${row},50,0`)].join('\n')}\n`;
}

beforeAll(async () => {
  server = await startServer();
  club = await foundClub(server);
  eryngo = club.as.maintainer;
  await made(eryngo.post('/platforms/skua/layouts', SECOND_LAYOUT));
  bareLogId = (await drive(server, eryngo, club.vehicleId, syntheticDriveCsv())).id;
  const { id: vehicleId } = await made(eryngo.post('/vehicles', { ...CAR, title: 'With a pedal' }));
  const signals = [
    ...SIGNAL_MAP.signals,
    { signal: 'pedal', column: 'pedal (%)', unit: '%' },
    { signal: 'program', column: 'program', unit: '' },
  ];
  await made(eryngo.put(`/vehicles/${vehicleId}/signal-map`, { ...SIGNAL_MAP, signals }));
  logId = (await drive(server, eryngo, vehicleId, pedalDriveCsv())).id;

  const { id: calibrationId } = await made(eryngo.post('/calibrations', { title: 'Dune', platformId: 'skua' }));
  const draft = await made(eryngo.post(`/calibrations/${calibrationId}/drafts`, { parentId: null }));
  const revise = (parentId: string | null, content: unknown) =>
    made(eryngo.post(`/calibrations/${calibrationId}/revisions`, { parentId, message: 'lines', content }));
  // The drive's output speed is 600 rpm + 60 rpm/s · t, and its shifts were commanded at 4 s (840 rpm) and 8 s (1080 rpm).
  const lines = (kind: string, rpm: number, from: typeof draft.content) =>
    edited(from, 'upshiftLine', (value, _, variant) => (variant.startsWith(kind) ? rpm : value));
  calm = await revise(null, lines('2-3', 1080, lines('1-2', 900, draft.content)));
  eager = await revise(calm.id, lines('2-3', 5000, lines('1-2', 720, draft.content)));
});
afterAll(() => server.close());

const replay = (revision: RevisionResponse, query: Record<string, string> = {}) =>
  eryngo.get(
    `/revisions/${revision.id}/schedule-replay?${new URLSearchParams({ log: logId, schedule: 'road', ...query })}`,
  );

describe('a schedule driven over a recorded drive', () => {
  it('tells which shift comes later and which stays', async () => {
    const answer: ScheduleReplay = await made(replay(calm));
    expect(answer).toMatchObject({ logId, scheduleId: 'road', recordedShifts: 2, replayedShifts: 2 });
    expect(answer.moves).toMatchObject([
      { kind: '1-2', change: 'later', recordedS: 4, replayedS: 5, pedal: 50, outputSpeedRpm: 900 },
      { kind: '2-3', change: 'same', recordedS: 8, replayedS: 8, pedal: 50, outputSpeedRpm: 1080 },
    ]);
    expect(answer.assumption).toContain('as they were recorded');
  });

  it('tells which is gone, against the drive and against another revision', async () => {
    const { moves }: ScheduleReplay = await made(replay(eager));
    expect(moves).toMatchObject([
      { kind: '1-2', change: 'earlier', recordedS: 4, replayedS: 2 },
      { kind: '2-3', change: 'gone', recordedS: 8, replayedS: null },
    ]);
    const against: ScheduleReplay = await made(replay(calm, { against: eager.id }));
    expect(against).toMatchObject({ recordedShifts: 1, replayedShifts: 2 });
    expect(against.moves).toMatchObject([
      { kind: '1-2', change: 'later', recordedS: 2, replayedS: 5 },
      { kind: '2-3', change: 'new', recordedS: null, replayedS: 8 },
    ]);
  });

  it.each<[string, () => ReturnType<Client['get']>, string]>([
    ['without a pedal', () => replay(calm, { log: bareLogId }), 'replay.impossible'],
    ['in a program that there is not', () => replay(calm, { program: 'wild' }), 'replay.impossible'],
    ['by an unknown schedule', () => replay(calm, { schedule: 'none' }), 'request.invalid'],
    ['that there is not', () => replay(calm, { log: 'none' }), 'resource.notFound'],
    ['of an unknown revision', () => replay({ ...calm, id: 'none' }), 'resource.notFound'],
  ])('is refused for a drive %s', async (_, call, code) => {
    expect((await call()).json().code).toBe(code);
  });

  it('leaves the server free for others while a long drive is read', async () => {
    const order: string[] = [];
    const note = (what: string) => (response: unknown) => {
      order.push(what);
      return response;
    };
    const replaying = made(replay(calm)).then(note('replay'));
    await Promise.all([replaying, server.app.inject({ url: '/api/health/live' }).then(note('health'))]);
    expect(order).toEqual(['health', 'replay']);
  });
});

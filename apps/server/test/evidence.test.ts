import { afterAll, beforeAll, expect, it } from 'vitest';
import { CAR, type Club, drive, foundClub, made, SIGNAL_MAP } from './support/club.js';
import { SECOND_LAYOUT } from './support/second-layout.js';
import { startServer, type TestServer } from './support/server.js';
import { syntheticDriveCsv } from './support/synthetic-drive.js';

let server: TestServer;
let club: Club;
beforeAll(async () => {
  server = await startServer();
  club = await foundClub(server);
});
afterAll(() => server.close());

it('a shift counts to the program that was driven, where a table has values for each', async () => {
  const { maintainer, reviewer } = club.as;
  await made(maintainer.post('/platforms/skua/layouts', SECOND_LAYOUT));
  const draft = await made(maintainer.post(`/revisions/${club.revisionIds[1]}/migration`, { to: 2 }));
  const body = { contentHash: draft.contentHash, message: 'second layout' };
  const { id: revision } = await made(maintainer.post(`/drafts/${draft.id}/revision`, body));
  const { id } = await made(maintainer.post('/vehicles', { ...CAR, title: 'With programs' }));
  const signals = [
    ...SIGNAL_MAP.signals,
    { signal: 'pedal', column: 'pedal (%)', unit: '%' },
    { signal: 'program', column: 'program', unit: '' },
  ];
  await made(maintainer.put(`/vehicles/${id}/signal-map`, { ...SIGNAL_MAP, signals }));
  const [head, ...rows] = syntheticDriveCsv().trimEnd().split('\n');
  const csv = [`${head},pedal (%),program`, ...rows.map((row) => `${row},80,1`)].join('\n');
  await drive(server, maintainer, id, csv, { revision });

  const shiftsOf = async (variant: string) => {
    const query = new URLSearchParams({ table: 'upshiftLine', variant });
    const { cells } = await made(reviewer.get(`/revisions/${revision}/evidence?${query}`));
    return cells.map((cell: { shifts: number }) => cell.shifts);
  };
  // Pedal at 80 % is nearer to the break point at 100 %.
  expect(await shiftsOf('1-2/brisk')).toEqual([0, 1]);
  expect(await shiftsOf('1-2/calm')).toEqual([0, 0]);
});

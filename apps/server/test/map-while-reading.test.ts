import { expect, it } from 'vitest';
import { createAnalyseLog } from '../src/jobs/analyse-log.js';
import { CAR, foundClub, made, SIGNAL_MAP } from './support/club.js';
import { startServer } from './support/server.js';
import { syntheticDriveCsv } from './support/synthetic-drive.js';

it('a log is read again when its car was given a map while it was read without one', async () => {
  const server = await startServer();
  try {
    const { tester } = (await foundClub(server)).as;
    const { id: vehicleId } = await made(tester.post('/vehicles', { ...CAR, title: 'Unmapped' }));
    await server.jobs.stop();
    const { log } = await made(tester.upload(vehicleId, syntheticDriveCsv()));
    const claimed = server.store.jobs.claim({ leaseOwner: 'test', leaseMs: 60_000 });
    if (!claimed) throw new Error('the upload queued no job');
    const inspection = {
      format: 'csv' as const,
      delimiter: 'comma',
      decimalMark: '.',
      columns: [],
      firstRows: [],
      suggestion: null,
      reasons: [],
    };
    const analyse = createAnalyseLog(
      {
        store: server.store,
        pool: {
          analyseLog: async () => {
            await made(tester.put(`/vehicles/${vehicleId}/signal-map`, SIGNAL_MAP));
            return { kind: 'awaitingMap', inspection, problem: null, traffics: null };
          },
        },
        maxUnpackedBytes: 1e6,
        minFreeBytes: 0,
      },
      1,
    );
    await analyse({ ...claimed, signal: new AbortController().signal, report: () => {} });
    expect((await made(tester.get(`/logs/${log.id}`))).state).toBe('waiting');
    expect(server.store.read.jobs.countByState()).toMatchObject({ queued: 1, waiting: 0 });
  } finally {
    await server.close();
  }
});

import { spawnSync } from 'node:child_process';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import Database from 'better-sqlite3';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { foundClub } from './support/club.js';
import { driveFleet } from './support/driven-fleet.js';
import { startServer, type TestServer } from './support/server.js';

const COMMAND = fileURLToPath(new URL('../dist/check-summaries.js', import.meta.url));

let server: TestServer;
beforeAll(async () => {
  server = await startServer();
  await driveFleet(server, await foundClub(server));
});
afterAll(() => server.close());

function check(...args: string[]) {
  const env = { ...process.env, SYNCLINE_DATA: join(server.folder, 'data') };
  const { status, stdout, stderr } = spawnSync(process.execPath, [COMMAND, ...args], { env, encoding: 'utf8' });
  return { status, stdout, stderr };
}

it('the command tells beside a running server whether the summaries are exact, and mends none under it', () => {
  expect(check()).toEqual({ status: 0, stdout: 'Every summary is what its shifts say.\n', stderr: '' });
  const sqlite = new Database(join(server.folder, 'data', 'syncline.db'));
  sqlite.exec('UPDATE fleet_slices SET flare = flare + 1 WHERE id = (SELECT min(id) FROM fleet_slices)');
  sqlite.close();
  const wrong = check();
  expect(wrong.status).toBe(1);
  expect(wrong.stdout).toMatch(
    /^skua \| .+: totals differ; kept 40 shifts, counted 40 shifts\n1 summaries are wrong\.\n$/,
  );
  const refused = check('--mend');
  expect(refused.status).toBe(2);
  expect(refused.stderr).toContain('Cannot check:');
  expect(check('--other').stderr).toContain('Usage:');
  server.store.fleet.recomputeSummaries();
  expect(check().status).toBe(0);
});

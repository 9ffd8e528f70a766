import { spawnSync } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import Database from 'better-sqlite3';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { checkExport } from '../src/services/check-export.js';
import { type Club, foundClub, made } from './support/club.js';
import { startServer, type TestServer } from './support/server.js';

const VERIFY = fileURLToPath(new URL('../dist/verify-audit.js', import.meta.url));

let server: TestServer;
let club: Club;
beforeEach(async () => {
  server = await startServer();
  club = await foundClub(server);
});
afterEach(() => server.close());

const audit = (query = '') => club.as.maintainer.get(`/audit${query}`);

/** Changes an entry as somebody would who has the database file and knows of the triggers. */
function forge(sql: string): void {
  const sqlite = new Database(join(server.folder, 'data', 'syncline.db'));
  for (const { name } of sqlite
    .prepare<[], { name: string }>(`SELECT name FROM sqlite_schema WHERE type = 'trigger' AND tbl_name = 'audit'`)
    .all()) {
    sqlite.exec(`DROP TRIGGER ${name}`);
  }
  sqlite.exec(sql);
  sqlite.close();
}

async function* lines(text: string): AsyncGenerator<string> {
  yield* text.split('\n');
}

describe('the list of entries', () => {
  it('says what a change made of what', async () => {
    await made(club.as.tester.patch(`/vehicles/${club.vehicleId}`, { title: 'Red van', note: 'new tyres' }));
    const { items } = await made(audit('?limit=1'));
    expect(items[0]).toMatchObject({
      actorName: 'Thrift',
      action: 'vehicle.update',
      target: `vehicle:${club.vehicleId}`,
      before: { title: 'Camper van', note: '' },
      after: { title: 'Red van', note: 'new tyres' },
    });
  });

  it('is narrowed by person, subject, action and time, page by page', async () => {
    const { personId } = club.as.tester;
    const all = await made(audit('?limit=200'));
    const byPerson = await made(audit(`?limit=200&person=${personId}`));
    expect(byPerson.items.every((entry: { actorId: string }) => entry.actorId === personId)).toBe(true);
    expect(byPerson.totalCount).toBe(byPerson.items.length);
    const vehicle = await made(audit(`?target=vehicle:${club.vehicleId}&action=vehicle`));
    expect(vehicle.items.map((entry: { action: string }) => entry.action)).toContain('vehicle.observe');
    const first = await made(audit('?limit=2'));
    const second = await made(audit(`?limit=2&cursor=${first.nextCursor}`));
    expect([...first.items, ...second.items]).toEqual(all.items.slice(0, 4));
    expect((await made(audit('?from=2027-01-01T00:00:00Z'))).items).toEqual([]);
    expect((await audit('?from=yesterday')).json().code).toBe('request.invalid');
  });

  it.each(['reviewer', 'reader', 'tester'] as const)('is not for a %s, nor are its downloads', async (role) => {
    for (const path of ['/audit', '/audit/chain', '/audit.csv', '/audit.jsonl']) {
      expect((await club.as[role].get(path)).statusCode).toBe(403);
    }
  });
});

describe('a download of the audit trail', () => {
  it('as JSON lines holds every entry, oldest first, and can be checked without the server', async () => {
    const response = await club.as.maintainer.get('/audit.jsonl');
    expect(response.headers['content-disposition']).toContain('attachment');
    const { totalCount } = await made(audit('?limit=1'));
    const entries = response.body
      .trim()
      .split('\n')
      .map((line) => JSON.parse(line));
    expect(entries.map((entry) => entry.id)).toEqual(Array.from({ length: totalCount }, (_, i) => i + 1));
    const { verdict } = await checkExport(lines(response.body));
    expect(verdict).toEqual({ kind: 'whole', entryCount: totalCount, headHash: entries.at(-1).hash });
  });

  it('as CSV has one row for each entry, and no cell that a spreadsheet would run', async () => {
    await made(club.as.tester.patch(`/vehicles/${club.vehicleId}`, { title: '=1+1' }));
    const { body } = await club.as.maintainer.get('/audit.csv?action=vehicle.update');
    const rows = body.trim().split('\r\n');
    expect(rows).toHaveLength(2);
    expect(rows[0]).toContain('Before,After');
    expect(rows[1]).toContain('=1+1');
    expect(rows[1]).not.toMatch(/(^|,)"?=/);
  });
});

describe('the chain', () => {
  it('is whole', async () => {
    const { items, totalCount } = await made(audit('?limit=1'));
    expect(await made(audit('/chain'))).toEqual({
      kind: 'whole',
      entryCount: totalCount,
      headHash: items[0].hash,
      checkedAt: '2026-03-01T09:00:00.000Z',
    });
  });

  it.each([
    ['was changed', `UPDATE audit SET detail = 'nothing' WHERE id = 4`, 4],
    ['has another who', `UPDATE audit SET actor_name = 'nobody' WHERE id = 6`, 6],
    ['is gone', 'DELETE FROM audit WHERE id = 5', 6],
  ])('names the first entry that %s', async (_what, sql, entryId) => {
    forge(sql);
    const verdict = await made(audit('/chain'));
    expect(verdict).toMatchObject({ kind: 'broken', entryId });
  });
});

describe('npm run verify:audit', () => {
  const run = (...given: string[]) => {
    const { status, stdout, stderr } = spawnSync(process.execPath, [VERIFY, ...given], { encoding: 'utf8' });
    return { status, text: `${stdout}${stderr}` };
  };
  const folder = () => join(server.folder, 'data');

  it('reads the folder of a running server and prints the head', async () => {
    const { items } = await made(audit('?limit=1'));
    expect(run(folder())).toEqual({ status: 0, text: expect.stringContaining(items[0].hash) });
    expect(run(folder(), items[0].hash).status).toBe(0);
  });

  it('tells the first entry that does not fit', () => {
    forge(`UPDATE audit SET action = 'none' WHERE id = 3`);
    expect(run(folder())).toEqual({ status: 1, text: expect.stringContaining('BROKEN at entry 3') });
  });

  it('tells when the end was cut off, by a head that was written down', async () => {
    const { items } = await made(audit('?limit=1'));
    forge(`DELETE FROM audit WHERE id = ${items[0].id}`);
    expect(run(folder()).status).toBe(0);
    expect(run(folder(), items[0].hash)).toEqual({ status: 1, text: expect.stringContaining('cut off') });
  });

  it('reads an export, and says of any other file that it is none', async () => {
    const file = join(server.folder, 'audit.jsonl');
    const { body } = await club.as.maintainer.get('/audit.jsonl');
    writeFileSync(file, body);
    expect(run(file).status).toBe(0);
    writeFileSync(file, body.replace('Marram set up', 'Nobody set up'));
    expect(run(file)).toEqual({ status: 1, text: expect.stringContaining('BROKEN at entry 1') });
    writeFileSync(file, 'time,action\n');
    expect(run(file)).toEqual({ status: 2, text: expect.stringContaining('line 1 is no JSON') });
    expect(run(join(server.folder, 'gone.jsonl')).status).toBe(2);
    expect(run().status).toBe(2);
  });
});

import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { type ClientRequest, type IncomingMessage, request } from 'node:http';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { fileURLToPath } from 'node:url';
import type { LogResponse } from '@syncline/contract';
import { backupNames } from '@syncline/store';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { type ServerProcess, startServerProcess } from '../support/server-process.ts';
import { agreeToColumns, driveFiles, foundTernClub, uploadFile, waitForState } from '../support/tern-club.ts';

let folder: string;
const servers: ServerProcess[] = [];
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'syncline-stop-'));
});
afterEach(async () => {
  for (const server of servers.splice(0)) await server.kill();
  rmSync(folder, { recursive: true, force: true });
});

async function start(dataFolder = folder, settings: Record<string, string> = {}): Promise<ServerProcess> {
  const server = await startServerProcess(dataFolder, settings);
  servers.push(server);
  return server;
}

/** A sign-in whose body stands still in the middle. */
function halfSent(
  server: ServerProcess,
  body: string,
): { readonly sending: ClientRequest; readonly status: Promise<number> } {
  const sending = request(`${server.baseUrl}/api/v1/session`, {
    method: 'POST',
    headers: { 'content-type': 'application/json', 'content-length': body.length, origin: server.baseUrl },
  });
  const status = new Promise<number>((resolve) => {
    sending.on('response', (response: IncomingMessage) => resolve(response.resume().statusCode ?? 0));
    sending.on('error', () => resolve(0));
  });
  sending.write(body.slice(0, 5));
  return { sending, status };
}

const BODY = JSON.stringify({ email: 'nobody@club.test', password: 'nobody' });

describe('a server that is told to stop', () => {
  it('lets a request end that is under way, takes none any more, and ends in order', async () => {
    const server = await start();
    const { sending, status } = halfSent(server, BODY);
    await sleep(300);
    const ended = server.stop();
    await sleep(300);
    await expect(fetch(`${server.baseUrl}/api/health/live`)).rejects.toThrow('fetch failed');
    sending.end(BODY.slice(5));
    expect(await status).toBe(401);
    expect(await ended).toBe(0);
  });

  it('told twice ends at once, and the next one finds its data whole', async () => {
    const server = await start();
    const { status } = halfSent(server, BODY);
    await sleep(300);
    const ended = server.stop();
    await sleep(300);
    void server.stop();
    expect(await ended).toBe(130);
    expect(await status).toBe(0);
    const { status: ready } = await fetch(`${(await start()).baseUrl}/api/health/ready`);
    expect(ready).toBe(200);
  });
});

describe('backup and restore', () => {
  it('brings a club back on a new folder with drives, sign-ins and signing key', async () => {
    const data = join(folder, 'data');
    const backups = join(folder, 'backups');
    const restored = join(folder, 'restored');
    const server = await start(data);
    const club = await foundTernClub(server.baseUrl);
    const [bytes] = driveFiles(club.car, { count: 1, durationS: 60 });
    const { id } = await uploadFile(club.tester, club.vehicleId, bytes!, 'drive.csv');
    await agreeToColumns(club, id);
    const before = await waitForState(club.tester, id, ['ready']);

    const settings = { SYNCLINE_DATA: data, SYNCLINE_BACKUP_FOLDER: backups };
    expect(run('backup', [], settings)).toMatchObject({ status: 0 });
    const path = join(backups, backupNames(backups)[0] ?? '');
    expect(run('verify-backup', [path])).toMatchObject({ status: 0, output: expect.stringContaining('Whole.') });
    expect(run('verify-data', [data])).toMatchObject({ status: 0, output: expect.stringContaining('All well.') });
    expect(run('restore', [path, data])).toMatchObject({ status: 2, output: expect.stringContaining('is not empty') });
    expect(run('restore', [path, restored])).toMatchObject({ status: 0 });
    expect(run('verify-backup', [data])).toMatchObject({
      status: 2,
      output: expect.stringContaining('no manifest.json'),
    });

    const again = await start(restored);
    const tester = club.tester.movedTo(again.baseUrl);
    const after = await tester.get<LogResponse>(`/logs/${id}`);
    expect(after).toEqual(before);
    expect(Buffer.from(await tester.bytes(`/logs/${id}/original`)).equals(Buffer.from(bytes!))).toBe(true);
    const keys = [club.tester, tester].map((api) => api.get('/signing-key'));
    expect(await keys[1]).toEqual(await keys[0]);
  });
});

/** One of the commands of the server, as npm runs it. */
function run(command: string, args: readonly string[], settings: Record<string, string> = {}) {
  const file = fileURLToPath(new URL(`../../apps/server/dist/${command}.js`, import.meta.url));
  const { status, stdout, stderr } = spawnSync(process.execPath, [file, ...args], {
    env: { PATH: process.env.PATH, ...settings },
    encoding: 'utf8',
  });
  return { status, output: `${stdout}${stderr}` };
}

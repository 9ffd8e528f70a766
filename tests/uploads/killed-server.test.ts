import { mkdtempSync, readdirSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setImmediate as nextTurn, setTimeout as sleep } from 'node:timers/promises';
import type { LogSummary, UploadsResponse } from '@syncline/contract';
import { makeRandom } from '@syncline/drivetrain';
import { createIds } from '@syncline/server';
import { openStore } from '@syncline/store';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import type { Api } from '../support/api.ts';
import { type ServerProcess, startServerProcess } from '../support/server-process.ts';
import { bigDrive, writeBigDrive } from './big-drive.ts';
import { startCuttingProxy } from './cutting-proxy.ts';
import { testerWithToken } from './tester-with-token.ts';
import { startUploader } from './uploader-process.ts';

const MIB = 1024 ** 2;
const KILLS = 3;
const LIMIT_MS = 300_000;

let folder: string;
let dataFolder: string;
let server: ServerProcess;
beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'syncline-killed-'));
  dataFolder = join(folder, 'data');
  server = await startServerProcess(dataFolder);
});
afterEach(async () => {
  await server.kill();
  rmSync(folder, { recursive: true, force: true });
});

async function logsOf(api: Api): Promise<LogSummary[]> {
  return (await api.get<{ items: LogSummary[] }>('/logs')).items;
}

describe('an upload', () => {
  it(
    `goes on over ${KILLS} ends of the server in its middle, and is one log with its bytes`,
    async () => {
      const { tester, vehicleId, token } = await testerWithToken(server.baseUrl);
      const file = join(folder, 'drive.csv');
      const sha256 = await writeBigDrive(file, 48 * MIB);
      const proxy = await startCuttingProxy(server.baseUrl);
      const uploader = startUploader(
        ['--server', proxy.baseUrl, '--vehicle', vehicleId, '--state', join(folder, 'state.json'), file],
        token,
      );
      const random = makeRandom('killed uploads');
      for (let kill = 0, fromBytes = 0; kill < KILLS; kill++) {
        // Some pieces have come since the last end, and there are some left.
        await untilReceived(dataFolder, fromBytes + random.between(1, 12) * MIB);
        await server.kill();
        fromBytes = receivedBytes(dataFolder);
        server = await startServerProcess(dataFolder);
        proxy.target = server.baseUrl;
      }
      expect(await uploader.ended, uploader.output()).toBe(0);
      await proxy.close();
      const logs = await logsOf(tester.movedTo(server.baseUrl));
      expect(logs.map((log) => log.sha256)).toEqual([sha256]);
      expect(readdirSync(join(dataFolder, 'uploads'))).toEqual([]);
    },
    LIMIT_MS,
  );

  it(
    'killed between its last byte and its row is finished at the next start',
    async () => {
      const club = await testerWithToken(server.baseUrl);
      const sha256 = await killBeforeRow(club);
      server = await startServerProcess(dataFolder);
      const tester = club.tester.movedTo(server.baseUrl);
      let logs = await logsOf(tester);
      for (; logs.length === 0; logs = await logsOf(tester)) await sleep(50);
      expect(logs.map((log) => log.sha256)).toEqual([sha256]);
      const { items } = await tester.get<UploadsResponse>('/uploads');
      expect(items.filter(({ state }) => state === 'done')).toMatchObject([{ logId: logs[0]!.id, isDuplicate: false }]);
      expect(readdirSync(join(dataFolder, 'uploads'))).toEqual([]);
    },
    LIMIT_MS,
  );
});

/** Sends whole files until a kill has met the moment when all bytes are there and the log is not. */
async function killBeforeRow({ tester, vehicleId }: Awaited<ReturnType<typeof testerWithToken>>): Promise<string> {
  for (let seed = 1; ; seed++) {
    const { bytes, sha256 } = bigDrive(32 * MIB, seed);
    const sent = tester
      .movedTo(server.baseUrl)
      .sendWhole(vehicleId, bytes)
      .catch(() => undefined);
    let isAnswered = false;
    void sent.then(() => {
      isAnswered = true;
    });
    // Without a pause: the moment is short.
    while (!isAnswered && receivedBytes(dataFolder) < bytes.length) await nextTurn();
    await server.kill();
    await sent;
    const store = openStore({ folder: dataFolder, clock: Date.now, ids: createIds(Date.now), minFreeBytes: 0 });
    const isMet = store.read.uploads.listReceiving().length === 1 && !store.read.logs.findByHash(vehicleId, sha256);
    store.close();
    if (isMet) return sha256;
    if (seed === 10) throw new Error('ten kills came too late');
    server = await startServerProcess(dataFolder);
  }
}

/** Bytes of the one upload that is under way. */
function receivedBytes(dataFolder: string): number {
  const uploads = join(dataFolder, 'uploads');
  const [name] = readdirSync(uploads);
  return name === undefined ? 0 : (statSync(join(uploads, name), { throwIfNoEntry: false })?.size ?? 0);
}

async function untilReceived(dataFolder: string, bytes: number): Promise<void> {
  while (receivedBytes(dataFolder) < bytes) await sleep(5);
}

import { appendFileSync, chmodSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import type { LogSummary, UploadsResponse } from '@syncline/contract';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { type ServerProcess, startServerProcess } from '../support/server-process.ts';
import { writeBigDrive } from './big-drive.ts';
import { startCuttingProxy } from './cutting-proxy.ts';
import { testerWithToken } from './tester-with-token.ts';
import { startUploader, untilSaid } from './uploader-process.ts';

const MIB = 1024 ** 2;
const MAX_LOG_BYTES = 40 * MIB;

let dataFolder: string;
let server: ServerProcess;
let club: Awaited<ReturnType<typeof testerWithToken>>;
beforeAll(async () => {
  dataFolder = mkdtempSync(join(tmpdir(), 'syncline-uploader-'));
  server = await startServerProcess(dataFolder, { SYNCLINE_MAX_LOG_BYTES: String(MAX_LOG_BYTES) });
  club = await testerWithToken(server.baseUrl);
});
afterAll(async () => {
  await server?.stop();
  rmSync(dataFolder, { recursive: true, force: true });
});

let folder: string;
let logFolder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'syncline-logs-'));
  logFolder = join(folder, 'logs');
  mkdirSync(logFolder);
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

let driveCount = 0;
/** A small drive whose bytes no test has used before. */
function writeDrive(name: string): string {
  const path = join(logFolder, name);
  mkdirSync(join(path, '..'), { recursive: true });
  writeFileSync(path, `time (s),input speed (rpm)\n0,${++driveCount}\n`);
  return path;
}

const common = () => ['--server', server.baseUrl, '--vehicle', club.vehicleId, '--state', join(folder, 'state.json')];

/** Runs the command to its end. */
async function run(args: readonly string[], token: string | undefined = club.token) {
  const uploader = startUploader(args, token);
  return { code: await uploader.ended, said: uploader.output() };
}

async function logNames(): Promise<string[]> {
  const { items } = await club.tester.get<{ items: LogSummary[] }>('/logs?limit=200');
  return items.map(({ fileName }) => fileName);
}

describe('syncline-upload', () => {
  it('sends the files of a folder that fit, and the next time finds nothing to do', async () => {
    for (const name of ['first.csv', 'trip/second.CSV', 'notes.txt', '.hidden.csv']) writeDrive(name);
    const first = await run([...common(), logFolder]);
    expect(first).toMatchObject({ code: 0, said: expect.stringContaining('2 sent, 0 there already, 0 refused') });
    expect(await logNames()).toEqual(expect.arrayContaining(['first.csv', 'second.CSV']));
    expect(await logNames()).not.toContain('notes.txt');
    const second = await run([...common(), logFolder]);
    expect(second).toMatchObject({ code: 0, said: expect.stringContaining('0 sent, 2 there already, 0 refused') });
  });

  it('asks the server where its memory is lost, and sends no byte twice', async () => {
    const path = writeDrive('kept.csv');
    await run([...common(), path]);
    const count = (await logNames()).length;
    const again = await run([...common(), '--state', join(folder, 'other-state.json'), path]);
    expect(again).toMatchObject({ code: 0, said: expect.stringMatching(/known {5}kept\.csv .* log /) });
    expect((await logNames()).length).toBe(count);
  });

  it('takes other names from a folder when it is told to, and the car by its title', async () => {
    writeDrive('drive-1.rec');
    writeDrive('drive-22.rec');
    writeDrive('drive-3.csv');
    const args = ['--server', server.baseUrl, '--vehicle', 'campervan', '--state', join(folder, 'state.json')];
    const { said } = await run([...args, '--pattern', 'drive-?.rec', '--pattern', '*22*', logFolder]);
    expect(said).toMatch(/drive-1\.rec/);
    expect(said).toMatch(/2 sent/);
  });

  it('watching sends a new file once it has stopped growing, and ends in order on Ctrl-C', async () => {
    const watcher = startUploader([...common(), '--watch', '--stable', '3', '--every', '0.1', logFolder], club.token);
    const path = writeDrive('growing.csv');
    for (let row = 1; row <= 10; row++) {
      await sleep(100);
      expect(watcher.output()).not.toContain('growing.csv');
      appendFileSync(path, `${row},${driveCount}\n`);
    }
    await untilSaid(watcher, /sent {6}growing\.csv/);
    writeDrive('next.csv');
    await untilSaid(watcher, /sent {6}next\.csv/);
    watcher.signal('SIGINT');
    expect(await watcher.ended).toBe(0);
    expect(watcher.output()).toContain('2 sent, 0 there already, 0 refused');
    const original = (await club.tester.get<{ items: LogSummary[] }>('/logs?limit=200')).items.find(
      ({ fileName }) => fileName === 'growing.csv',
    );
    expect(original?.sizeBytes).toBe(readFileSync(path).length);
  });

  it('stopped half-way goes on from there the next time', async () => {
    const path = join(logFolder, 'long.csv');
    await writeBigDrive(path, 24 * MIB);
    const proxy = await startCuttingProxy(server.baseUrl, 18 * MIB);
    const args = ['--server', proxy.baseUrl, '--vehicle', club.vehicleId, '--state', join(folder, 'state.json'), path];
    const first = startUploader(args, club.token);
    while (proxy.cutCount === 0) await sleep(10);
    proxy.target = await deadAddress();
    await untilSaid(first, /waiting {3}The connection is lost/);
    first.signal('SIGINT');
    expect(await first.ended).toBe(130);
    expect(first.output()).toMatch(/stopped half-way/);

    const passedBefore = proxy.passedBytes;
    proxy.target = server.baseUrl;
    proxy.cutAfterBytes = Number.POSITIVE_INFINITY;
    const second = startUploader(args, club.token);
    expect(await second.ended, second.output()).toBe(0);
    expect(proxy.passedBytes - passedBefore).toBeLessThan(9 * MIB);
    const { items } = await club.tester.get<UploadsResponse>('/uploads');
    expect(items.filter(({ fileName }) => fileName === 'long.csv')).toMatchObject([{ state: 'done' }]);
    await proxy.close();
  });

  it('goes on with an upload that it finds on the server when its memory is lost', async () => {
    const path = join(logFolder, 'forgotten.csv');
    await writeBigDrive(path, 24 * MIB, 2);
    const proxy = await startCuttingProxy(server.baseUrl, 18 * MIB);
    const args = ['--server', proxy.baseUrl, '--vehicle', club.vehicleId, path, '--state'];
    const first = startUploader([...args, join(folder, 'first.json')], club.token);
    while (proxy.cutCount === 0) await sleep(10);
    first.signal('SIGKILL');
    await first.ended;
    const passedBefore = proxy.passedBytes;
    const second = startUploader([...args, join(folder, 'second.json')], club.token);
    expect(await second.ended, second.output()).toBe(0);
    expect(proxy.passedBytes - passedBefore).toBeLessThan(18 * MIB);
    await proxy.close();
  });
});

/** An address of this computer at which nobody answers. */
async function deadAddress(): Promise<string> {
  const listener = createServer();
  await new Promise<void>((resolve) => listener.listen(0, '127.0.0.1', resolve));
  const { port } = listener.address() as { port: number };
  await new Promise((resolve) => listener.close(resolve));
  return `http://127.0.0.1:${port}`;
}

describe('syncline-upload ends with', () => {
  it('1 when a file is refused, and sends the others all the same', async () => {
    writeDrive('good.csv');
    await writeBigDrive(join(logFolder, 'too-large.csv'), MAX_LOG_BYTES + 1);
    const { code, said } = await run([...common(), logFolder]);
    expect(code).toBe(1);
    expect(said).toMatch(
      /refused {3}too-large\.csv: It has 41943041 bytes; 41943040 are allowed\. Split the recording\./,
    );
    expect(said).toMatch(/1 sent, 0 there already, 1 refused/);
  });

  it.each([
    ['no server', () => ['--vehicle', 'x', 'y'], /required option '--server/],
    ['an address that is none', () => ['--server', 'club', '--vehicle', 'x', 'y'], /expected an address/],
    ['an unknown option', () => [...common(), '--fast', logFolder], /unknown option '--fast'/],
    [
      'a car that is not there',
      () => [...common(), '--vehicle', 'tractor', logFolder],
      /no car 'tractor'.*\n.*Campervan/,
    ],
    ['a path that is not there', () => [...common(), join(folder, 'nowhere')], /no file or folder .*nowhere/],
    [
      'a token file that is not there',
      () => [...common(), '--token-file', join(folder, 'none'), logFolder],
      /cannot be read/,
    ],
    [
      'a state file of something else',
      () => {
        writeFileSync(join(folder, 'alien.json'), '{"version": 7}');
        return [...common(), '--state', join(folder, 'alien.json'), logFolder];
      },
      /not a state file/,
    ],
  ])('2 for %s', async (_, args, said) => {
    expect(await run(args())).toEqual({ code: 2, said: expect.stringMatching(said) });
  });

  it('2 without a token, and says where it may stand', async () => {
    const { code, said } = await run([...common(), logFolder], '');
    expect(code).toBe(2);
    expect(said).toMatch(/SYNCLINE_TOKEN, --token-file or --token/);
  });

  it('3 when nobody answers', async () => {
    const args = ['--server', await deadAddress(), '--vehicle', 'x', '--give-up', '0', logFolder];
    expect(await run(args)).toEqual({ code: 3, said: expect.stringMatching(/does not answer/) });
  });

  it.each([
    ['is unknown', async () => 'syncline_unknown', /unknown, revoked or expired|Make a new one/],
    ['may only read', async () => readOnlyToken(), /made for 'read'/],
  ])('4 when the token %s', async (_, tokenOf, said) => {
    writeDrive('never.csv');
    expect(await run([...common(), logFolder], await tokenOf())).toEqual({
      code: 4,
      said: expect.stringMatching(said),
    });
    expect(await logNames()).not.toContain('never.csv');
  });
});

async function readOnlyToken(): Promise<string> {
  const body = { name: 'reader', scopes: ['read'], days: 1 };
  return (await club.tester.post<{ secret: string }>('/tokens', body)).secret;
}

describe('the token of syncline-upload', () => {
  it('may stand in a file, and is said to be in danger where others can read it', async () => {
    const tokenFile = join(folder, 'token.txt');
    writeFileSync(tokenFile, `${club.token}\n`);
    chmodSync(tokenFile, 0o644);
    const open = await run([...common(), '--token-file', tokenFile, writeDrive('a.csv')], '');
    expect(open).toEqual({ code: 0, said: expect.stringMatching(/^note .*chmod 600/) });
    chmodSync(tokenFile, 0o600);
    const closed = await run([...common(), '--token-file', tokenFile, writeDrive('b.csv')], '');
    expect(closed).toEqual({ code: 0, said: expect.not.stringMatching(/note/) });
  });
});

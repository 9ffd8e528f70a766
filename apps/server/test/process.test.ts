import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { fileURLToPath } from 'node:url';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { ApiClient } from '../src/demo/api-client.js';
import { AGREED, CAR, LAYOUT, PASSWORD, PLATFORM, SIGNAL_MAP } from './support/club.js';
import { syntheticDriveCsv } from './support/synthetic-drive.js';

const MAIN = fileURLToPath(new URL('../dist/main.js', import.meta.url));

let folder: string;
const children: ChildProcess[] = [];
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'syncline-process-'));
});
afterEach(async () => {
  for (const child of children.splice(0)) await kill(child);
  rmSync(folder, { recursive: true, force: true });
});

async function kill(child: ChildProcess): Promise<void> {
  if (child.exitCode !== null || child.signalCode !== null) return;
  child.kill('SIGKILL');
  await once(child, 'exit');
}

function run(variables: Record<string, string> = {}): ChildProcess {
  const child = spawn(process.execPath, [MAIN], {
    env: { PATH: process.env.PATH, SYNCLINE_DATA: folder, SYNCLINE_PORT: '0', ...variables },
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  children.push(child);
  return child;
}

interface Listening {
  readonly child: ChildProcess;
  readonly address: string;
  readonly dataFolder: string;
}

async function start(): Promise<Listening> {
  const child = run();
  let errors = '';
  child.stderr?.on('data', (chunk: Buffer) => (errors += chunk.toString()));
  if (!child.stdout) throw new Error('the child has no output');
  for await (const line of createInterface({ input: child.stdout })) {
    const entry = JSON.parse(line);
    if (entry.event === 'server.listening') {
      child.stdout.resume();
      return { child, address: entry.address, dataFolder: entry.dataFolder };
    }
  }
  throw new Error(`the server ended before it listened: ${errors}`);
}

async function endOf(child: ChildProcess): Promise<{ code: number | null; errors: string }> {
  let errors = '';
  child.stderr?.on('data', (chunk: Buffer) => (errors += chunk.toString()));
  const [code] = await once(child, 'close');
  return { code, errors };
}

describe('the server process', () => {
  it('says in one line of its log where it listens, and ends in order when told to', async () => {
    const { child, address, dataFolder } = await start();
    expect(dataFolder).toBe(folder);
    expect((await fetch(`${address}/api/health/ready`)).status).toBe(200);
    child.kill('SIGTERM');
    expect((await endOf(child)).code).toBe(0);
  }, 60_000);

  it('does not start with faulty settings and names each', async () => {
    const { code, errors } = await endOf(run({ SYNCLINE_WORKERS: '0', SYNCLINE_LOG_LEVEL: 'loud' }));
    expect(code).toBe(1);
    expect(errors).toMatch(/SYNCLINE_WORKERS: .*\n.*SYNCLINE_LOG_LEVEL: /);
  }, 60_000);

  it('does not start on a data folder that another one holds', async () => {
    const first = await start();
    const { code, errors } = await endOf(run());
    expect(code).toBe(1);
    expect(errors).toContain(String(first.child.pid));
  }, 60_000);

  it('killed while it analyses has every log and every shift once after the next start', async () => {
    const first = await start();
    const before = await enterClub(first.address);
    const logIds: string[] = [];
    for (let i = 0; i < 6; i++) logIds.push(await before.upload(syntheticDriveCsv({ offsetRpm: i })));
    await kill(first.child);

    const second = await start();
    const after = await signIn(second.address);
    const logs = await settled(after);
    expect(logs.map((log) => log.id).sort()).toEqual([...logIds].sort());
    expect(logs.map((log) => log.state)).toEqual(Array(6).fill('ready'));
    const { totalCount } = await after.get<{ totalCount: number }>('/shifts');
    expect(totalCount).toBe(12);
  }, 60_000);
});

async function signIn(address: string): Promise<ApiClient> {
  const client = new ApiClient(address);
  await client.post('/session', { email: 'marram@club.test', password: PASSWORD });
  return client;
}

async function enterClub(address: string) {
  const client = new ApiClient(address);
  await client.post('/setup', {
    clubName: 'Skua',
    name: 'Marram',
    email: 'marram@club.test',
    password: PASSWORD,
    ...AGREED,
  });
  await client.post('/platforms', PLATFORM);
  await client.post('/platforms/skua/layouts', LAYOUT);
  const { id } = await client.post<{ id: string }>('/vehicles', { ...CAR, title: 'Van' });
  await client.put(`/vehicles/${id}/signal-map`, SIGNAL_MAP);
  return {
    async upload(csv: string): Promise<string> {
      const query = new URLSearchParams({ vehicle: id, fileName: 'drive.csv' });
      return (await client.upload<{ log: { id: string } }>(`/logs?${query}`, new TextEncoder().encode(csv))).log.id;
    },
  };
}

/** The logs once none of them is under way. */
async function settled(client: ApiClient): Promise<{ id: string; state: string }[]> {
  for (;;) {
    const { items } = await client.get<{ items: { id: string; state: string }[] }>('/logs');
    if (items.every((log) => ['ready', 'refused', 'failed', 'awaitingMap'].includes(log.state))) return items;
    await new Promise((resolve) => setTimeout(resolve, 50));
  }
}

import { type ChildProcess, spawn } from 'node:child_process';
import { randomBytes } from 'node:crypto';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { fileURLToPath } from 'node:url';
import type { LogResponse } from '@syncline/contract';
import { afterEach, expect, it } from 'vitest';
import { Api } from '../support/api.ts';
import { agreeToColumns, driveFiles, foundTernClub, uploadFile, waitForState } from '../support/tern-club.ts';

const MIB = 2 ** 20;
const DISK_MIB = 48;
const BALLAST_MIB = 16;
const COMMANDS = fileURLToPath(new URL('../../apps/server/dist', import.meta.url));

/** A server on a disk of its own in memory, which is told by lines to make room and to stop. */
const SCRIPT = `
mount -t tmpfs -o size=${DISK_MIB}m tmpfs "$SYNCLINE_DATA" || { echo no-mount; exit; }
head -c ${BALLAST_MIB * MIB} /dev/zero > "$SYNCLINE_DATA/ballast"
"$NODE" "$COMMANDS/main.js" &
server=$!
while read -r word; do
  case $word in
    free) rm "$SYNCLINE_DATA/ballast"; echo freed;;
    stop) kill -TERM $server; wait $server; echo "stopped $?"
      "$NODE" "$COMMANDS/verify-data.js" "$SYNCLINE_DATA"; echo "verified $?";;
  esac
done`;

let folder: string | undefined;
let child: ChildProcess | undefined;
afterEach(() => {
  // The whole group: the server is a child of the shell.
  if (child?.pid !== undefined && child.exitCode === null) process.kill(-child.pid, 'SIGKILL');
  if (folder !== undefined) rmSync(folder, { recursive: true, force: true });
});

/** Starts it; gives how to talk to it and to wait for a line of it. Undefined where this machine lets nobody mount. */
async function startOnSmallDisk() {
  folder = mkdtempSync(join(tmpdir(), 'syncline-full-'));
  const started = spawn('unshare', ['--mount', '--map-root-user', 'sh', '-c', SCRIPT], {
    env: {
      PATH: process.env.PATH,
      NODE: process.execPath,
      COMMANDS,
      SYNCLINE_DATA: folder,
      SYNCLINE_PORT: '0',
      SYNCLINE_MIN_FREE_BYTES: '0',
      SYNCLINE_BACKUP_HOURS: '0',
    },
    detached: true,
    stdio: ['pipe', 'pipe', 'inherit'],
  });
  child = started;
  const lines: string[] = [];
  const waiting = new Set<() => void>();
  const tell = () => waiting.forEach((look) => look());
  createInterface({ input: started.stdout }).on('line', (line) => {
    lines.push(line);
    tell();
  });
  let hasEnded = false;
  const end = () => {
    hasEnded = true;
    tell();
  };
  started.once('error', end).once('exit', end);
  const line = (pattern: RegExp) =>
    new Promise<string | undefined>((resolve) => {
      const look = () => {
        const found = lines.find((text) => pattern.test(text));
        if (found === undefined && !hasEnded) return;
        waiting.delete(look);
        resolve(found);
      };
      waiting.add(look);
      look();
    });
  const first = await line(/server\.listening|no-mount/);
  if (first === undefined || first === 'no-mount') return undefined;
  const { address } = JSON.parse(first) as { address: string };
  return { address, line, say: (word: string) => started.stdin.write(`${word}\n`) };
}

it('a server whose disk is full refuses what it cannot keep, goes on reading, and takes all once there is room', async () => {
  const server = await startOnSmallDisk();
  if (server === undefined) {
    console.info('No disk of its own can be mounted here: what a full one does is tested with simulated faults alone.');
    return;
  }
  const club = await foundTernClub(server.address);
  const [drive, another] = driveFiles(club.car, { count: 2, durationS: 60 });
  const { id } = await uploadFile(club.tester, club.vehicleId, drive!, 'drive.csv');
  await agreeToColumns(club, id);
  const before = await waitForState(club.tester, id, ['ready']);

  const refusals: string[] = [];
  const attempt = (work: Promise<unknown>) => work.catch((error: Error) => void refusals.push(error.message));
  for (let count = 0; count < 2 * DISK_MIB && refusals.length < 3; count++) {
    // Noise takes the room that it is long, and is no log of any format.
    const noise = new Uint8Array(randomBytes(refusals.length === 0 ? 2 * MIB : 200_000));
    await attempt(uploadFile(club.tester, club.vehicleId, noise, `noise-${count}.bin`));
  }
  expect(refusals).toHaveLength(3);
  const notes = new Set<string>();
  for (let count = 0; count < 200; count++) {
    const text = `${count} ${'note '.repeat(30)}`.trim();
    await attempt(club.tester.post(`/logs/${id}/notes`, { atS: 1, text }).then(() => notes.add(text)));
  }
  for (const refusal of refusals) expect(refusal).toMatch(/ 507 .*"storage\.full"/);
  expect(await club.tester.get<LogResponse>(`/logs/${id}`)).toEqual(before);
  expect(Buffer.from(await club.tester.bytes(`/logs/${id}/original`)).equals(Buffer.from(drive!))).toBe(true);
  expect(await new Api(server.address).get('/session').catch((error: Error) => error.message)).toMatch(/ 401 /);

  server.say('free');
  await server.line(/^freed$/);
  const { id: later } = await uploadFile(club.tester, club.vehicleId, another!, 'another.csv');
  await waitForState(club.tester, later, ['ready']);
  const { items } = await club.tester.get<{ items: { text: string }[] }>(`/logs/${id}/notes`);
  expect(items.map(({ text }) => text).sort()).toEqual([...notes].sort());
  server.say('stop');
  expect(await server.line(/^stopped/)).toBe('stopped 0');
  expect(await server.line(/^verified/)).toBe('verified 0');
});

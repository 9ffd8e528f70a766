import { spawnSync } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { loadSettings } from '../src/settings.js';
import { startServer } from './support/server.js';

const ROOT = fileURLToPath(new URL('../../..', import.meta.url));
const inRoot = (path: string) => readFileSync(join(ROOT, path), 'utf8');
const UNIT = inRoot('apps/server/deploy/syncline.service');
const CONTAINER = inRoot('apps/server/deploy/Containerfile');
const RUNNING = inRoot('apps/server/docs/running.md');

/** Where the unit and the container expect this repository. */
const INSTALLED = '/opt/syncline';

/** `NAME=value` settings of a text that are Syncline's. */
function settingsIn(text: string): Record<string, string> {
  return Object.fromEntries(
    [...text.matchAll(/\b(SYNCLINE_[A-Z_]+)=([^\s\\`]+)/g)].map(([, name, value]) => [name, value]),
  );
}

/** Whether a built file of this repository comes from a source that is there. */
function isMade(path: string): boolean {
  return existsSync(join(ROOT, path.replace('/dist/', '/src/').replace(/\.js$/, '.ts')));
}

function commandOf(container: string): string[] {
  return JSON.parse(/^CMD (\[.*\])$/m.exec(container)?.[1] ?? '[]') as string[];
}

describe('the unit of systemd', () => {
  const entries = new Map(
    UNIT.split('\n')
      .filter((line) => /^[A-Za-z]+=/.test(line))
      .map((line): [string, string] => [line.slice(0, line.indexOf('=')), line.slice(line.indexOf('=') + 1)]),
  );

  it('starts what the build makes, from where the guide installs it', () => {
    expect(entries.get('WorkingDirectory')).toBe(INSTALLED);
    const [node, ...options] = (entries.get('ExecStart') ?? '').split(' ');
    expect(node).toBe('/usr/bin/node');
    expect(isMade(options.at(-1) ?? '')).toBe(true);
    expect(RUNNING).toContain(`git clone <this repository> ${INSTALLED}`);
    expect(existsSync(join(ROOT, (entries.get('Documentation') ?? '').replace(`file://${INSTALLED}/`, '')))).toBe(true);
  });

  it('starts it like `npm start` and the container, with the same bounds on memory', () => {
    const started = /&& MALLOC_ARENA_MAX=(\d+) node (.*)$/.exec(JSON.parse(inRoot('package.json')).scripts.start);
    expect(started).not.toBeNull();
    const [, arenas, options] = started!;
    expect(entries.get('ExecStart')).toBe(`/usr/bin/node ${options}`);
    expect(entries.get('Environment')).toContain(` MALLOC_ARENA_MAX=${arenas} `);
    expect(commandOf(CONTAINER)).toEqual(['node', ...options!.split(' ')]);
    expect(CONTAINER).toMatch(new RegExp(`^ENV [^]*?MALLOC_ARENA_MAX=${arenas} `, 'm'));
  });

  it('sets what there is to set, and data folder, user and file of settings are those of the guide', () => {
    const set = settingsIn(entries.get('Environment') ?? '');
    expect(loadSettings({}, set).dataFolder).toBe(`/var/lib/${entries.get('StateDirectory')}`);
    expect(RUNNING).toContain(`--home-dir ${set.SYNCLINE_DATA}`);
    expect(RUNNING).toContain(entries.get('EnvironmentFile'));
    expect(RUNNING).toMatch(new RegExp(`useradd --system .* ${entries.get('User')}\n`));
  });

  it('gives the server longer to stop than it gives its requests', () => {
    const graceMs = /const GRACE_MS = ([\d_]+);/.exec(inRoot('apps/server/src/main.ts'))?.[1].replaceAll('_', '');
    expect(Number(entries.get('TimeoutStopSec')) * 1000).toBeGreaterThan(2 * Number(graceMs));
    expect(inRoot('apps/server/src/main.ts')).toContain(`process.on('${entries.get('KillSignal')}'`);
  });

  it('is one that systemd understands, where there is a systemd to ask', () => {
    const asked = spawnSync(
      'systemd-analyze',
      ['verify', '--man=no', join(ROOT, 'apps/server/deploy/syncline.service')],
      {
        encoding: 'utf8',
      },
    );
    // The lines tell of keys that are unknown; whether /usr/bin/node is there is the machine's business.
    const told = asked.error ? '' : asked.stderr;
    expect(told.split('\n').filter((line) => /Unknown|Invalid|Failed to parse/i.test(line))).toEqual([]);
  });
});

describe('the container', () => {
  it('starts what the build makes, with settings that there are, as the user whose folder it is', () => {
    const command = commandOf(CONTAINER);
    expect(command[0]).toBe('node');
    expect(isMade(command.at(-1) ?? '')).toBe(true);
    const settings = loadSettings({}, settingsIn(CONTAINER));
    expect(settings).toMatchObject({ host: '0.0.0.0', dataFolder: '/var/lib/syncline' });
    expect(CONTAINER).toContain(`EXPOSE ${settings.port}\n`);
    expect(CONTAINER).toContain(`VOLUME ${settings.dataFolder}\n`);
    const [, user] = /^USER (\d+):\d+$/m.exec(CONTAINER) ?? [];
    expect(CONTAINER).toContain(`--uid ${user} `);
    expect(RUNNING).toContain(`runs as user ${user}`);
  });

  it('asks for its health where the server answers, on a Node that the server takes', async () => {
    const [, path] = /127\.0\.0\.1:8470(\/[\w/]+)/.exec(CONTAINER) ?? [];
    const server = await startServer();
    expect((await server.app.inject({ url: path })).statusCode).toBe(200);
    await server.close();
    const versions = [...CONTAINER.matchAll(/node:(\d+)-/g)].map(([, version]) => Number(version));
    expect(versions.length).toBeGreaterThan(0);
    expect(new Set(versions).size).toBe(1);
    expect(versions[0]).toBeGreaterThanOrEqual(20);
  });

  it('takes along nothing that lies in a checkout and is not in the repository: data, keys, builds', () => {
    const left = inRoot('.dockerignore').split('\n');
    for (const line of inRoot('.gitignore').split('\n').filter(Boolean)) {
      const name = line.replace(/^\/|\/$/g, '');
      expect(
        left.some((entry) => entry === name || entry === `**/${name}`),
        `${name} in .dockerignore`,
      ).toBe(true);
    }
    expect(left).toContain('.git');
  });
});

describe('the guide to running a server', () => {
  it('names settings that there are', () => {
    const named = [...RUNNING.matchAll(/\bSYNCLINE_[A-Z_]+/g)].map(([name]) => name);
    const known = inRoot('apps/server/src/settings.ts');
    for (const name of new Set(named)) expect(known, name).toContain(`${name}:`);
  });

  it('names commands that there are', () => {
    const { scripts } = JSON.parse(inRoot('package.json')) as { scripts: Record<string, string> };
    const named = [...RUNNING.matchAll(/\bnpm (?:run )?([a-z:]+)/g)].map(([, name]) => name);
    for (const name of new Set(named)) expect(name === 'ci' || Object.hasOwn(scripts, name), name).toBe(true);
  });

  it('names metrics that the server has', () => {
    const named = [...RUNNING.matchAll(/`?(syncline_[a-z0-9_]+)/g)].map(([, name]) => name);
    const ours = inRoot('apps/server/src/plugins/metrics.ts');
    // Those of the process come with the library, under our prefix.
    const own = named.filter((name) => !name.startsWith('syncline_nodejs_'));
    expect(own.length).toBeGreaterThan(0);
    for (const name of new Set(own)) expect(ours, name).toContain(name.replace(/_(bucket|sum|count)$/, ''));
  });
});

import { readFileSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { loadSettings, SettingsError } from '../src/settings.js';

const load = (variables: Record<string, string>) => loadSettings({}, variables);

describe('settings', () => {
  it('have a default for everything', () => {
    expect(load({})).toEqual({
      dataFolder: join(process.cwd(), '.data'),
      host: '127.0.0.1',
      port: 8470,
      publicUrl: undefined,
      trustedProxies: [],
      maxLogBytes: 4 * 1024 ** 3,
      testerQuotaBytes: 50 * 1024 ** 3,
      minFreeBytes: 512 * 1024 ** 2,
      workerCount: Math.max(1, availableParallelism() - 1),
      logLevel: 'info',
    });
  });

  it('are read from the environment', () => {
    expect(
      load({
        SYNCLINE_DATA: '/srv/syncline',
        SYNCLINE_PORT: '80',
        SYNCLINE_PUBLIC_URL: 'https://club.example/gearbox/',
        SYNCLINE_TRUSTED_PROXIES: '10.0.0.1, 10.0.0.2',
        SYNCLINE_WORKERS: '3',
      }),
    ).toMatchObject({
      dataFolder: '/srv/syncline',
      port: 80,
      publicUrl: 'https://club.example/gearbox',
      trustedProxies: ['10.0.0.1', '10.0.0.2'],
      workerCount: 3,
    });
  });

  it('report every fault at once, each with its name', () => {
    const faulty = {
      SYNCLINE_PORT: '70000',
      SYNCLINE_WORKERS: 'two',
      SYNCLINE_PUBLIC_URL: 'ftp://x',
      SYNCLINE_PROT: '1',
    };
    expect(() => load(faulty)).toThrow(SettingsError);
    const faults = catchFaults(faulty);
    expect(faults).toHaveLength(4);
    for (const name of Object.keys(faulty)) expect(faults.some((fault) => fault.startsWith(name))).toBe(true);
  });

  it('take no notice of other variables', () => {
    expect(load({ PATH: '/bin', SYNCLINEX: '1' }).port).toBe(8470);
  });

  it('stand in the README, each with a line of its own', () => {
    const readme = readFileSync(new URL('../README.md', import.meta.url), 'utf8');
    const source = readFileSync(new URL('../src/settings.ts', import.meta.url), 'utf8');
    const known = [...new Set(source.match(/SYNCLINE_[A-Z_]+(?=:)/g))].sort();
    const documented = [...readme.matchAll(/^\| `(SYNCLINE_[A-Z_]+)` +\|/gm)].map(([, name]) => name).sort();
    expect(documented).toEqual(known);
  });
});

function catchFaults(variables: Record<string, string>): readonly string[] {
  try {
    load(variables);
  } catch (error) {
    if (error instanceof SettingsError) return error.faults;
  }
  return [];
}

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
      basePath: '/',
      trustedProxies: [],
      maxLogBytes: 4 * 1024 ** 3,
      testerQuotaBytes: 50 * 1024 ** 3,
      minFreeBytes: 512 * 1024 ** 2,
      keepOriginalsDays: 0,
      workerCount: Math.max(1, availableParallelism() - 1),
      backups: { folder: join(process.cwd(), '.data', 'backups'), everyHours: 24, keepDaily: 7, keepWeekly: 4 },
      metricsToken: undefined,
      secondFactor: 'optional',
      mail: undefined,
      hooksToPrivate: false,
      openId: undefined,
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
      basePath: '/gearbox/',
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

  it.each([
    ['SYNCLINE_PUBLIC_URL', 'https://club.example/api/v2'],
    ['SYNCLINE_PUBLIC_URL', 'https://club.example/?club=1'],
    ['SYNCLINE_PUBLIC_URL', 'https://club.example/a"b'],
    ['SYNCLINE_TRUSTED_PROXIES', 'proxy.example'],
    ['SYNCLINE_TRUSTED_PROXIES', '10.0.0.0/33'],
    ['SYNCLINE_METRICS_TOKEN', 'short'],
  ])('refuse %s=%s', (name, value) => {
    expect(catchFaults({ [name]: value })).toEqual([expect.stringContaining(`${name}: expected`)]);
  });

  it('keep backups beside the data unless told where', () => {
    expect(load({ SYNCLINE_DATA: '/srv/a' }).backups.folder).toBe('/srv/a/backups');
    expect(load({ SYNCLINE_DATA: '/srv/a', SYNCLINE_BACKUP_FOLDER: '/mnt/b' }).backups.folder).toBe('/mnt/b');
  });

  const provider = {
    SYNCLINE_PUBLIC_URL: 'https://club.example',
    SYNCLINE_OPENID_ISSUER: 'https://accounts.example',
    SYNCLINE_OPENID_CLIENT_ID: 'syncline',
    SYNCLINE_OPENID_CLIENT_SECRET: 'secret',
  };

  it('name an OpenID provider whole or not at all', () => {
    const { SYNCLINE_OPENID_CLIENT_SECRET: _left, ...part } = provider;
    expect(load(provider).openId).toEqual({
      issuer: 'https://accounts.example',
      clientId: 'syncline',
      clientSecret: 'secret',
      name: 'single sign-on',
    });
    expect(catchFaults(part)).toEqual([expect.stringContaining('SYNCLINE_OPENID_CLIENT_SECRET')]);
    const { SYNCLINE_PUBLIC_URL: _address, ...hidden } = provider;
    expect(catchFaults(hidden)).toEqual([expect.stringContaining('SYNCLINE_PUBLIC_URL')]);
  });

  it.each([
    ['http://accounts.example', false],
    ['http://127.0.0.1:9000', true],
    ['https://accounts.example', true],
  ])('take the provider %s: %s', (issuer, isTaken) => {
    expect(catchFaults({ ...provider, SYNCLINE_OPENID_ISSUER: issuer })).toHaveLength(isTaken ? 0 : 1);
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

it('of mail are a server and an address that it comes from, or neither', () => {
  const server = { SYNCLINE_SMTP_URL: 'smtp://mail.example:587' };
  const from = { SYNCLINE_MAIL_FROM: 'Club <club@shore.example>' };
  expect(loadSettings({ ...server, ...from }, {}).mail).toEqual({
    smtpUrl: 'smtp://mail.example:587',
    from: 'Club <club@shore.example>',
  });
  expect(() => loadSettings(server, {})).toThrow(/SYNCLINE_MAIL_FROM/);
  expect(() => loadSettings(from, {})).toThrow(/SYNCLINE_SMTP_URL/);
  expect(() => loadSettings({ ...from, SYNCLINE_SMTP_URL: 'https://mail.example' }, {})).toThrow(/expected an address/);
});

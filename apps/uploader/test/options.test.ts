import { readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { describe, expect, it } from 'vitest';
import { EXIT } from '../src/exit-code.js';
import { readOptions } from '../src/options.js';

const NEEDED = ['--server', 'https://club.example/gearbox/', '--vehicle', 'Campervan', 'logs'];
const TOKEN = { SYNCLINE_TOKEN: ' syncline_x\n' };

describe('the arguments', () => {
  it('have a default for all that need not be said', () => {
    expect(readOptions(NEEDED, { ...TOKEN, XDG_STATE_HOME: '/state' })).toEqual({
      server: 'https://club.example/gearbox',
      token: 'syncline_x',
      vehicle: 'Campervan',
      paths: [resolve('logs')],
      isWatching: false,
      patterns: expect.arrayContaining(['*.csv', '*.gz', '*.zip', '*.mf4']),
      statePath: resolve('/state/syncline-upload.json'),
      stableMs: 10_000,
      everyMs: 5000,
      giveUpMs: 600_000,
      warnings: [],
    });
  });

  it('say all the rest; a watch never gives up', () => {
    const said = [
      '--watch',
      '--pattern',
      '*.rec',
      '--pattern',
      '*.csv',
      '--state',
      's.json',
      '--stable',
      '2',
      '--every',
      '0.5',
    ];
    expect(readOptions([...said, '--token', 'own', ...NEEDED, 'more'], TOKEN)).toMatchObject({
      token: 'own',
      isWatching: true,
      patterns: ['*.rec', '*.csv'],
      paths: [resolve('logs'), resolve('more')],
      statePath: resolve('s.json'),
      stableMs: 2000,
      everyMs: 500,
      giveUpMs: Number.POSITIVE_INFINITY,
    });
  });

  it.each([
    ['http://club.example', 1],
    ['http://127.0.0.1:8470', 0],
    ['http://localhost:8470', 0],
    ['https://club.example', 0],
  ])('to %s are warned about %i times', (server, count) => {
    expect(readOptions(['--server', server, '--vehicle', 'x', 'y'], TOKEN).warnings).toHaveLength(count);
  });

  it.each([
    ['--stable', 'soon'],
    ['--give-up', '-1'],
  ])('are refused where a number is none: %s %s', (...pair) => {
    expect(() => readOptions([...pair, ...NEEDED], TOKEN)).toThrow(expect.objectContaining({ exitCode: EXIT.usage }));
  });

  it('and the ways to end stand in the README', () => {
    const readme = readFileSync(new URL('../README.md', import.meta.url), 'utf8');
    const codes = [...readme.matchAll(/^\| `(\d+)` +\|/gm)].map(([, code]) => Number(code));
    expect(codes).toEqual(Object.values(EXIT));
    const source = readFileSync(new URL('../src/options.ts', import.meta.url), 'utf8');
    const options = [...source.matchAll(/'(--[a-z-]+)(?: <|')/g)].map(([, option]) => option);
    const documented = [...readme.matchAll(/^\| `(--[a-z-]+)/gm)].map(([, option]) => option);
    expect(documented.sort()).toEqual([...new Set(options)].sort());
  });
});

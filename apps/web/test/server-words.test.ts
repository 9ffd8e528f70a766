import { readFileSync } from 'node:fs';
import type { BackupSummary } from '@syncline/contract';
import { describe, expect, it } from 'vitest';
import { ageWords, backupState, settingWords } from '../src/pages/people/server-words.js';

const NOW = Date.parse('2026-03-03T12:00:00Z');
const backup: BackupSummary = {
  name: '2026-03-03T09-00-00Z',
  takenAt: '2026-03-03T09:00:00.000Z',
  totalBytes: 1,
  fileCount: 1,
  schemaVersion: 1,
  counts: { people: 1, vehicles: 1, logs: 1, revisions: 1, auditEntries: 1 },
  auditHead: null,
  hasSigningKey: true,
  missing: [],
};
const fine = { items: [backup], isLate: false, isRunning: false, lastFault: null, everyHours: 24 };

describe('the words on backups', () => {
  it.each([
    ['2026-03-03T11:30:00Z', '30 min'],
    ['2026-03-03T09:59:00Z', '2 h'],
    ['2026-03-02T12:00:00Z', '24 h'],
    ['2026-03-01T12:00:00Z', '2 days'],
    ['2026-03-03T12:30:00Z', '0 min'],
  ])('give the age of %s as %s', (at, words) => expect(ageWords(at, NOW)).toBe(words));

  it.each([
    ['all is well', fine, false, 'The newest backup is 3 h old'],
    ['one is under way', { ...fine, isRunning: true }, false, 'The newest backup is 3 h old; one is being made'],
    ['it is late', { ...fine, isLate: true }, true, 'The newest backup is 3 h old'],
    [
      'the last failed',
      { ...fine, lastFault: { at: backup.takenAt, words: 'The disk is full.' } },
      true,
      'The last backup failed',
    ],
    [
      'files were missing',
      { ...fine, items: [{ ...backup, missing: ['blobs/aa/x'] }] },
      true,
      'The newest backup lacks files',
    ],
    ['nobody makes any', { ...fine, items: [], everyHours: 0 }, true, 'There is no backup'],
    ['the club is an hour old', { ...fine, items: [] }, false, 'There is no backup'],
  ])('alarm only where something is to be done: %s', (_when, backups, isAlarming, words) => {
    const state = backupState(backups, NOW);
    expect(state).toMatchObject({ isAlarming, words });
    expect(state.remedy === '').toBe(!isAlarming);
  });
});

describe('the words on settings', () => {
  const settings = {
    publicUrl: null,
    keepOriginalsDays: 1,
    maxLogBytes: 4 * 1024 ** 3,
    testerQuotaBytes: 50 * 1024 ** 3,
    workerCount: 1,
    secondFactor: 'maintainers',
    signInIssuer: null,
    mailFrom: 'club@club.example',
    hooksToPrivate: false,
    hasMetrics: true,
  } as const;

  it('name each as the guide of the server does', () => {
    const guide = readFileSync(new URL('../../server/README.md', import.meta.url), 'utf8');
    for (const { name } of settingWords(settings)) expect(guide, name).toContain(`| \`${name}\``);
  });

  it('say what each means', () => {
    const words = Object.fromEntries(settingWords(settings).map((setting) => [setting.title, setting.words]));
    expect(words).toMatchObject({
      Address: 'the one it listens on',
      Originals: 'kept for 1\u00a0day',
      Analysis: '1\u00a0thread',
      'Second factor': 'demanded of maintainers',
      Mail: 'from club@club.example',
      'Web hooks': 'to the open internet only',
    });
    expect(settingWords({ ...settings, keepOriginalsDays: 0 })[1]?.words).toBe('kept for good');
  });
});

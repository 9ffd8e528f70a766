import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { backupName, instantOfName } from '../../src/backups/names.js';
import { planRetention } from '../../src/index.js';

const HOUR_MS = 3600_000;
const at = (text: string) => backupName(Date.parse(text));

describe('the name of a backup', () => {
  it('is its instant, and says it again', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 4_000_000_000 }), (seconds) => {
        expect(instantOfName(backupName(seconds * 1000))).toBe(seconds * 1000);
      }),
    );
  });

  it.each(['before-migration-from-3.db', '2026-03-01', '2026-13-01T00-00-00Z', '2026-03-01T09-00-00Z.12.part'])(
    'is nothing else: %s',
    (name) => expect(instantOfName(name)).toBeUndefined(),
  );
});

describe('retention', () => {
  it('keeps the newest of each of the last days and weeks, as a calendar shows them', () => {
    // 2026-03-01 is a Sunday, 2026-03-02 a Monday.
    const names = [
      '2026-02-20T03:00:00Z',
      '2026-02-22T03:00:00Z',
      '2026-02-27T03:00:00Z',
      '2026-03-01T03:00:00Z',
      '2026-03-01T15:00:00Z',
      '2026-03-02T03:00:00Z',
      '2026-03-03T03:00:00Z',
    ].map(at);
    const kept = (rule: { daily: number; weekly: number }) => {
      const removed = planRetention(names, rule);
      return names.filter((name) => !removed.includes(name));
    };
    expect(kept({ daily: 2, weekly: 0 })).toEqual([names[5], names[6]]);
    expect(kept({ daily: 0, weekly: 2 })).toEqual([names[4], names[6]]);
    expect(kept({ daily: 3, weekly: 3 })).toEqual([names[1], names[4], names[5], names[6]]);
  });

  it('never removes the newest, and no name that is no backup', () => {
    const names = ['notes.txt', at('2026-03-01T03:00:00Z'), at('2026-03-02T03:00:00Z')];
    expect(planRetention(names, { daily: 0, weekly: 0 })).toEqual([names[1]]);
  });

  it('keeps no more than it was told, and removes nothing twice applied', () => {
    fc.assert(
      fc.property(
        fc.uniqueArray(fc.integer({ min: 490_000, max: 492_000 }), { maxLength: 40 }),
        fc.nat(10),
        fc.nat(10),
        (hours, daily, weekly) => {
          const names = hours.map((hour) => backupName(hour * HOUR_MS));
          const removed = new Set(planRetention(names, { daily, weekly }));
          const kept = names.filter((name) => !removed.has(name));
          expect(kept.length).toBeLessThanOrEqual(Math.max(1, daily + weekly));
          expect(planRetention(kept, { daily, weekly })).toEqual([]);
        },
      ),
    );
  });
});

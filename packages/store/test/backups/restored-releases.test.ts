import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { restoreBackup, type Store } from '../../src/index.js';
import { aClub, aContent, aRevision, SYSTEM } from '../support/builders.js';
import { openTestStore, START_MS, temporaryFolder } from '../support/test-store.js';

const WORDS = 'Restored from a backup of 2026-03-01 09:00 UTC.';
type Standing = Parameters<Store['releases']['move']>[0]['to'];
const RUNNING: Standing = { state: 'running', stage: 1 };

/** One release in each state, by state. */
function aReleaseOfEach(store: Store): ReadonlyMap<string, string> {
  const { calibrationId, revisionId } = aClub(store);
  const ids = new Map<string, string>();
  const begin = (value: number, ...moves: (readonly ['start' | 'hold' | 'complete' | 'recall', Standing])[]) => {
    const content = aContent(value);
    const releaseId = store.releases.draft({
      actor: SYSTEM,
      revisionId: aRevision(store, { calibrationId, parentId: revisionId, content, line: `line ${value}` }),
      replacesId: revisionId,
      words: 'Firmer.',
      cohort: { dialects: [], engines: [], tags: [], hardware: [] },
      stages: [
        { size: { kind: 'cars', cars: 1 }, minShifts: 0, minVehicles: 0 },
        { size: { kind: 'share', share: 1 }, minShifts: 0, minVehicles: 0 },
      ],
      harmLimit: 0,
    });
    let from: Standing = { state: 'draft', stage: 0 };
    for (const [kind, to] of moves) {
      store.releases.move({ actor: SYSTEM, releaseId, kind, from, to, reason: `to ${to.state}` });
      from = to;
    }
    ids.set(from.state, releaseId);
  };
  begin(120);
  begin(130, ['start', RUNNING]);
  begin(140, ['start', RUNNING], ['hold', { state: 'held', stage: 1 }]);
  begin(150, ['start', RUNNING], ['complete', { state: 'complete', stage: 1 }]);
  begin(160, ['start', RUNNING], ['recall', { state: 'recalled', stage: 1 }]);
  return ids;
}

describe('releases of a data folder that was made from a backup', () => {
  it('are held where they went on by themselves, with the reason, and the others stay as they were', async () => {
    const { store, clock } = openTestStore({ minFreeBytes: 0 });
    const ids = aReleaseOfEach(store);
    const { path } = await store.backUp(temporaryFolder());
    clock.nowMs = START_MS + 3600_000;
    const folder = join(temporaryFolder(), 'restored');
    await restoreBackup(path, folder);
    // Ids that sort before those of the backup, as after a clock that was set back.
    let made = 0;
    const earlierIds = () => `a-${made++}`;
    const restored = openTestStore({ folder, clock: () => clock.nowMs, ids: earlierIds }).store;

    const standing = (state: string) => {
      const { items } = restored.read.releases.list({}, { limit: 10 });
      const found = items.find(({ id }) => id === ids.get(state));
      return { state: found?.state, stage: found?.stage, stateReason: found?.stateReason };
    };
    const held = { state: 'held', stage: 1, stateReason: expect.stringContaining(WORDS) };
    expect(standing('running')).toEqual(held);
    expect(standing('complete')).toEqual(held);
    expect(standing('held')).toEqual({ state: 'held', stage: 1, stateReason: 'to held' });
    expect(standing('recalled')).toEqual({ state: 'recalled', stage: 1, stateReason: 'to recalled' });
    expect(standing('draft')).toEqual({ state: 'draft', stage: 0, stateReason: '' });
    expect(restored.read.releases.listWatched()).toEqual([]);
    const events = restored.read.releases.events(ids.get('running') ?? '');
    expect(events.at(-1)).toMatchObject({ kind: 'hold', byName: 'the server', atMs: clock.nowMs });
    const trail = restored.read.audit.list({ limit: 10 }).items.map(({ action, detail }) => [action, detail]);
    expect(trail).toContainEqual(['data.restore', 'restored from a backup of 2026-03-01 09:00 UTC; 2 releases held']);
    expect((await restored.verifyData()).faults).toEqual([]);
    // The source goes on.
    expect(store.read.releases.find(ids.get('running') ?? '')?.state).toBe('running');
  });

  it('are held once: what was resumed since runs on after the next start', async () => {
    const { store } = openTestStore({ minFreeBytes: 0 });
    const releaseId = aReleaseOfEach(store).get('running') ?? '';
    const { path } = await store.backUp(temporaryFolder());
    const folder = join(temporaryFolder(), 'restored');
    await restoreBackup(path, folder);
    expect(existsSync(join(folder, 'restored.json'))).toBe(true);
    const first = openTestStore({ folder }).store;
    expect(existsSync(join(folder, 'restored.json'))).toBe(false);
    const from = { state: 'held', stage: 1 } as const;
    first.releases.move({ actor: SYSTEM, releaseId, kind: 'resume', from, to: RUNNING, reason: 'made sure' });
    first.close();
    const next = openTestStore({ folder }).store;
    expect(next.read.releases.find(releaseId)?.state).toBe('running');
  });
});

import { join } from 'node:path';
import Database from 'better-sqlite3';
import { describe, expect, it } from 'vitest';
import { aClub, aContent, aProfile, aRevision, SYSTEM } from '../support/builders.js';
import { openTestStore, START_MS } from '../support/test-store.js';

/** A release that was started, downloaded and confirmed for its one car. */
function aSpreadRelease() {
  const opened = openTestStore({ minFreeBytes: 0 });
  const { store } = opened;
  const { maintainer, calibrationId, revisionId: olderId } = aClub(store);
  const revisionId = aRevision(store, { calibrationId, parentId: olderId, content: aContent(120) });
  const vehicleId = store.vehicles.create({ actor: SYSTEM, ownerId: maintainer.id, profile: aProfile() });
  store.vehicles.install({ actor: SYSTEM, vehicleId, revisionId: olderId, sinceAtMs: START_MS - 1000 });
  const releaseId = store.releases.draft({
    actor: SYSTEM,
    revisionId,
    replacesId: olderId,
    words: 'Firmer.',
    cohort: { dialects: [], engines: [], tags: [], hardware: [] },
    stages: [{ size: { kind: 'share', share: 1 }, minShifts: 0, minVehicles: 0 }],
    harmLimit: 0,
  });
  const [from, to] = [
    { state: 'draft', stage: 0 },
    { state: 'running', stage: 0 },
  ] as const;
  store.releases.move({ actor: SYSTEM, releaseId, kind: 'start', from, to, reason: '' });
  store.releases.takeIn({ actor: SYSTEM, releaseId, stage: 0, vehicleIds: [vehicleId], joined: 'Blue van' });
  const file = { contentHash: 'a'.repeat(64), fileSha256: 'b'.repeat(64), format: 'csv' };
  store.releases.recordDownload({ actor: SYSTEM, releaseId, revisionId, vehicleId, ...file });
  store.releases.answer({ actor: SYSTEM, releaseId, vehicleId, answer: 'installed', note: '' });
  store.vehicles.install({ actor: SYSTEM, vehicleId, revisionId, sinceAtMs: START_MS });
  return { ...opened, releaseId };
}

describe('releases that are read again', () => {
  it('are as their events, their cars and the trail say', async () => {
    expect((await aSpreadRelease().store.verifyData()).faults).toEqual([]);
  });

  it.each([
    [
      'a state without its event',
      `UPDATE releases SET state = 'held'`,
      /is held at stage 1, its last event is start at stage 1$/,
    ],
    ['a stage without its event', 'UPDATE releases SET stage = 1', /is running at stage 2, its last event is start at/],
    [
      'an event that the trail does not have',
      `INSERT INTO release_events (id, release_id, kind, stage, reason, by_name, at_ms)
        SELECT 'x', id, 'join', 0, '', 'nobody', 0 FROM releases`,
      /release\.join happened 2 times, the trail has 1$/,
    ],
    [
      'a download that was doubled',
      `INSERT INTO downloads SELECT 'x', release_id, revision_id, vehicle_id, person_id, person_name, content_hash,
        file_sha256, format, at_ms FROM downloads`,
      /release\.download happened 2 times, the trail has 1$/,
    ],
    [
      'an answer without its event',
      `UPDATE release_cars SET answer = 'failed'`,
      /^release .* has an answer without its event$/,
    ],
    ['two revisions in one car', 'UPDATE installations SET until_at_ms = NULL', /has two revisions installed at once$/],
  ])('show %s', async (_what, harm, words) => {
    const { store, folder } = aSpreadRelease();
    const direct = new Database(join(folder, 'syncline.db'));
    direct.exec(harm);
    direct.close();
    expect((await store.verifyData()).faults).toEqual([expect.stringMatching(words)]);
  });
});

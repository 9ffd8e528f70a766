import { createHash } from 'node:crypto';
import { describe, expect, it } from 'vitest';
import {
  aClub,
  aContent,
  aLog,
  aNewShift,
  analyse,
  aProfile,
  aRevision,
  PLATFORM,
  SYSTEM,
} from '../support/builders.js';
import { openTestStore, START_MS } from '../support/test-store.js';

describe('calibrations', () => {
  it('a revision gives back the very text it was made from, under the SHA-256 of that text', () => {
    const { store } = openTestStore();
    const { revisionId } = aClub(store);
    const text = store.read.calibrations.findContentText(revisionId);
    expect(text?.contentHash).toBe(
      createHash('sha256')
        .update(text?.canonicalJson ?? '')
        .digest('hex'),
    );
    expect(JSON.parse(text?.canonicalJson ?? '')).toEqual(aContent());
    expect(store.read.calibrations.findContent(revisionId)).toEqual(aContent());
  });

  it('revisions are numbered within their calibration and name their parent', () => {
    const { store } = openTestStore();
    const { calibrationId, revisionId } = aClub(store);
    const second = aRevision(store, { calibrationId, parentId: revisionId, content: aContent(101) });
    const calibration = store.read.calibrations.find(calibrationId);
    expect(
      calibration?.revisions.map(({ id, number, parentId, parentNumber }) => ({ id, number, parentId, parentNumber })),
    ).toEqual([
      { id: revisionId, number: 1, parentId: null, parentNumber: null },
      { id: second, number: 2, parentId: revisionId, parentNumber: 1 },
    ]);
    expect(calibration).toMatchObject({ revisionCount: 2, newestRevisionNumber: 2, platformTitle: PLATFORM.title });
  });

  it('a revision equal to its parent is refused, one equal to another shares its content', () => {
    const { store } = openTestStore();
    const { calibrationId, revisionId } = aClub(store);
    expect(() => aRevision(store, { calibrationId, parentId: revisionId, content: aContent() })).toThrow(
      expect.objectContaining({ code: 'content_unchanged' }),
    );
    const twin = aRevision(store, { calibrationId, parentId: null, content: aContent() });
    expect(store.read.calibrations.findContentText(twin)).toEqual(store.read.calibrations.findContentText(revisionId));
  });

  it('a parent from another calibration is refused', () => {
    const { store } = openTestStore();
    const { revisionId } = aClub(store);
    const other = store.calibrations.create({ actor: SYSTEM, title: 'Town', platformId: PLATFORM.id, note: '' });
    expect(() => aRevision(store, { calibrationId: other, parentId: revisionId, content: aContent(5) })).toThrow(
      expect.objectContaining({ code: 'parent_mismatch' }),
    );
  });

  it('counts the cars that run a revision now, its logs and its shifts', () => {
    const { store, clock } = openTestStore();
    const { maintainer, calibrationId, revisionId } = aClub(store);
    const vehicleId = store.vehicles.create({ actor: SYSTEM, ownerId: maintainer.id, profile: aProfile() });
    const second = aRevision(store, { calibrationId, parentId: revisionId, content: aContent(101) });
    store.vehicles.install({ actor: SYSTEM, vehicleId, revisionId, sinceAtMs: START_MS - 2000 });
    store.vehicles.install({ actor: SYSTEM, vehicleId, revisionId: second, sinceAtMs: START_MS });
    const logId = aLog(store, { vehicleId, seed: 1, drivenAtMs: START_MS - 1000 });
    analyse(store, logId, [aNewShift(), aNewShift()]);
    expect(store.read.calibrations.findRevision(revisionId)).toMatchObject({
      vehicleCount: 0,
      logCount: 1,
      shiftCount: 2,
    });
    expect(store.read.calibrations.findRevision(second)).toMatchObject({ vehicleCount: 1, logCount: 0, shiftCount: 0 });
    expect(store.read.calibrations.find(calibrationId)).toMatchObject({
      vehicleCount: 1,
      installations: [{ vehicleId, revisionId: second, revisionNumber: 2, sinceAtMs: START_MS }],
    });
    clock.nowMs = START_MS - 1;
    expect(store.read.calibrations.findRevision(revisionId)?.vehicleCount).toBe(1);
  });

  it('are listed newest first in pages', () => {
    const { store } = openTestStore();
    aClub(store);
    for (const title of ['B', 'C'])
      store.calibrations.create({ actor: SYSTEM, title, platformId: PLATFORM.id, note: '' });
    const first = store.read.calibrations.list({ limit: 2 });
    const second = store.read.calibrations.list({ limit: 2, cursor: first.nextCursor ?? '' });
    expect([...first.items, ...second.items].map((calibration) => calibration.title)).toEqual(['C', 'B', 'Touring']);
    expect(second.nextCursor).toBeNull();
  });
});

import { expect, it } from 'vitest';
import { aClub, LAYOUT, PLATFORM, POLICY, SYSTEM } from '../support/builders.js';
import { openTestStore, START_MS } from '../support/test-store.js';

it('a platform comes with its first grading policy', () => {
  const { store } = openTestStore();
  aClub(store);
  expect(store.read.platforms.find(PLATFORM.id)).toEqual({
    platform: PLATFORM,
    layoutVersions: [1],
    layouts: [{ version: 1, title: LAYOUT.title, createdAtMs: START_MS }],
    policy: { ...POLICY, version: 1 },
    policies: [{ version: 1, createdAtMs: START_MS }],
    createdAtMs: START_MS,
  });
  expect(store.read.platforms.list({ limit: 10 }).items).toEqual([
    { id: PLATFORM.id, title: PLATFORM.title, gearCount: 2, layoutVersions: [1] },
  ]);
});

it('a platform id and a layout version are taken once', () => {
  const { store } = openTestStore();
  aClub(store);
  expect(() => store.platforms.create({ actor: SYSTEM, platform: PLATFORM, policy: POLICY })).toThrow(
    expect.objectContaining({ code: 'exists' }),
  );
  expect(() => store.platforms.addLayout({ actor: SYSTEM, layout: { ...LAYOUT, title: 'other' } })).toThrow(
    expect.objectContaining({ code: 'exists' }),
  );
  expect(store.read.platforms.findLayout(PLATFORM.id, 1)).toEqual(LAYOUT);
});

it('a new policy is the next version, and the one in force stays until a run is switched to', () => {
  const { store } = openTestStore();
  aClub(store);
  const stricter = { ...POLICY, incompleteAfterS: 2 };
  const policy = store.platforms.addPolicy({ actor: SYSTEM, platformId: PLATFORM.id, policy: stricter });
  expect(policy).toEqual({ ...stricter, version: 2 });
  expect(store.read.platforms.findPolicy(PLATFORM.id)).toEqual({ ...POLICY, version: 1 });
  expect(store.read.platforms.findPolicy(PLATFORM.id, 2)).toEqual(policy);
  const run = {
    actor: SYSTEM,
    platformId: PLATFORM.id,
    reason: 'policy',
    analysisVersion: 1,
    policyVersion: 2,
  } as const;
  const { runId } = store.analysisRuns.begin({ ...run, jobFor: () => null });
  store.analysisRuns.switchTo({ actor: SYSTEM, runId, effect: null });
  expect(store.read.platforms.findPolicy(PLATFORM.id)).toEqual(policy);
  expect(store.read.platforms.find(PLATFORM.id)?.policy).toEqual(policy);
});

it('nothing is found of a platform that does not exist', () => {
  const { store } = openTestStore();
  expect(store.read.platforms.find('none')).toBeUndefined();
  expect(store.read.platforms.findLayout('none', 1)).toBeUndefined();
  expect(() => store.platforms.addPolicy({ actor: SYSTEM, platformId: 'none', policy: POLICY })).toThrow(
    expect.objectContaining({ code: 'not_found' }),
  );
});

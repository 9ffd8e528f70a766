import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { openStore, type Store } from '../src/index.js';
import { aClub, aLog, aProfile, aResult, claimFor, PLATFORM, SYSTEM } from '../test/support/builders.js';
import { countingIds } from '../test/support/counting-ids.js';
import { record } from './measure.js';
import { randomShift } from './random-shift.js';
import { seededRandom } from './seeded-random.js';

const SHIFTS_PER_LOG = 100;
const VEHICLES = 40;

/** How long everybody waits while a maintainer switches to a run, and how long each log of it takes before. */
export function benchSwitch(): void {
  for (const shiftCount of [10_000, 100_000]) {
    const folder = mkdtempSync(join(tmpdir(), 'syncline-bench-'));
    const store = openStore({ folder, clock: Date.now, ids: countingIds() });
    try {
      switchOver(store, shiftCount);
    } finally {
      store.close();
      rmSync(folder, { recursive: true });
    }
  }
}

function switchOver(store: Store, shiftCount: number): void {
  const random = seededRandom(13);
  const logCount = shiftCount / SHIFTS_PER_LOG;
  fill(store, logCount, random);
  const { runId } = store.analysisRuns.begin({
    actor: SYSTEM,
    platformId: PLATFORM.id,
    reason: 'asked',
    analysisVersion: 1,
    policyVersion: 1,
    jobFor: (id, { logId }) => ({ kind: 'rereadLog', inputKey: `${id}/${logId}`, runId: id, isBackground: true }),
  });
  const began = performance.now();
  for (let i = 0; i < logCount; i++) collectOne(store, runId, random);
  const perLogMs = (performance.now() - began) / logCount;
  const switching = performance.now();
  store.analysisRuns.switchTo({ actor: SYSTEM, runId, effect: null });
  const switchMs = performance.now() - switching;
  if (store.fleet.verifySummaries().length > 0) throw new Error('the summaries are not exact');
  record(`switch of ${shiftCount} shifts`, { perLogMs, switchMs });
  console.log(
    `${shiftCount} shifts in ${logCount} logs: a result is kept in ${perLogMs.toFixed(1)} ms, switched over in ${switchMs.toFixed(0)} ms`,
  );
}

function fill(store: Store, logCount: number, random: () => number): void {
  const { maintainer, revisionId } = aClub(store);
  const vehicles = Array.from({ length: VEHICLES }, (_, i) =>
    store.vehicles.create({ actor: SYSTEM, ownerId: maintainer.id, profile: aProfile({ title: `Car ${i}` }) }),
  );
  for (let seed = 0; seed < logCount; seed++) {
    const logId = aLog(store, { vehicleId: vehicles[seed % VEHICLES], seed, revisionId });
    const shifts = Array.from({ length: SHIFTS_PER_LOG }, () => randomShift(random));
    store.logs.replaceAnalysis(aResult({ lease: claimFor(store, logId), logId, shifts }));
  }
}

function collectOne(store: Store, runId: string, random: () => number): void {
  const claimed = store.jobs.claim({ leaseOwner: 'bench', leaseMs: 60_000 });
  if (!claimed) throw new Error('expected a job');
  const logId = claimed.job.inputKey.split('/')[1];
  const {
    lease,
    logId: _log,
    analysisVersion,
    policyVersion,
    shifts: _none,
    ...found
  } = aResult({
    lease: claimed.lease,
    logId,
  });
  store.analysisRuns.keep({
    lease,
    runId,
    logId,
    outcome: 'analysed',
    problem: null,
    found: { ...found, lockUps: [...found.lockUps] },
    shifts: Array.from({ length: SHIFTS_PER_LOG }, () => randomShift(random)),
    analysisVersion,
    policyVersion,
    changes: {},
  });
}

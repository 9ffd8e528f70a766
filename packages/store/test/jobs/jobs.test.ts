import { describe, expect, it } from 'vitest';
import { type JobLease, MAX_ATTEMPTS, MAX_INTERRUPTIONS, type Store } from '../../src/index.js';
import { aClub, aLog, analysisJob, aProfile, aResult, aTester, SYSTEM } from '../support/builders.js';
import { openTestStore } from '../support/test-store.js';

const LEASE_MS = 1000;
const PROBLEM = { code: 'log.unreadable', detail: 'no header', remedy: 'add one' };

function claim(store: Store, leaseOwner = 'worker') {
  return store.jobs.claim({ leaseOwner, leaseMs: LEASE_MS });
}

function claimLease(store: Store): JobLease {
  const claimed = claim(store);
  if (!claimed) throw new Error('expected a job');
  return claimed.lease;
}

function aWaitingLog(store: Store): string {
  const { maintainer } = aClub(store);
  const vehicleId = store.vehicles.create({ actor: SYSTEM, ownerId: maintainer.id, profile: aProfile() });
  return aLog(store, { vehicleId, seed: 1 });
}

describe('jobs', () => {
  it('with the same kind and input are queued once, while queued and while running', () => {
    const { store } = openTestStore();
    const first = store.jobs.enqueue({ kind: 'check', inputKey: 'a' });
    expect(store.jobs.enqueue({ kind: 'check', inputKey: 'a' })).toEqual({ jobId: first.jobId, isNew: false });
    claim(store);
    expect(store.jobs.enqueue({ kind: 'check', inputKey: 'a' })).toEqual({ jobId: first.jobId, isNew: false });
    expect(claim(store)).toBeUndefined();
    expect(store.jobs.enqueue({ kind: 'other', inputKey: 'a' }).isNew).toBe(true);
  });

  it('that ended can be queued again, from their first attempt', () => {
    const { store } = openTestStore();
    store.jobs.enqueue({ kind: 'check', inputKey: 'a' });
    store.jobs.complete(claimLease(store));
    expect(store.read.jobs.countByState()).toMatchObject({ done: 1, queued: 0 });
    expect(store.jobs.enqueue({ kind: 'check', inputKey: 'a' }).isNew).toBe(true);
    expect(claim(store)?.job).toMatchObject({ attempt: 1, state: 'running' });
  });

  it('are given to one worker only, and only the holder of the lease may end them', () => {
    const { store, clock } = openTestStore();
    store.jobs.enqueue({ kind: 'check', inputKey: 'a' });
    const first = claimLease(store);
    expect(claim(store, 'second')).toBeUndefined();
    clock.nowMs += LEASE_MS;
    const second = claim(store, 'second');
    expect(second?.job.attempt).toBe(2);
    expect(store.jobs.heartbeat({ lease: first, leaseMs: LEASE_MS, progress: 0.5 })).toBe(false);
    expect(() => store.jobs.complete(first)).toThrow(expect.objectContaining({ code: 'lease_lost' }));
    expect(() => store.jobs.fail({ lease: first, problem: PROBLEM, retry: true })).toThrow(
      expect.objectContaining({ code: 'lease_lost' }),
    );
    if (second) store.jobs.complete(second.lease);
    expect(store.read.jobs.countByState().done).toBe(1);
  });

  it('are kept by a worker that says it is alive, and show how far they are in the log', () => {
    const { store, clock } = openTestStore();
    const logId = aWaitingLog(store);
    const lease = claimLease(store);
    for (const progress of [0.25, 0.5]) {
      clock.nowMs += LEASE_MS - 1;
      expect(store.jobs.heartbeat({ lease, leaseMs: LEASE_MS, progress, logState: 'decoding' })).toBe(true);
      expect(claim(store, 'second')).toBeUndefined();
      expect(store.read.logs.find({}, logId)).toMatchObject({ state: 'decoding', progress });
    }
  });

  it('fail after three attempts, and rest there with their problem', () => {
    const { store } = openTestStore();
    const logId = aWaitingLog(store);
    const states = Array.from({ length: MAX_ATTEMPTS }, () => {
      const state = store.jobs.fail({ lease: claimLease(store), problem: PROBLEM, retry: true });
      return [state, store.read.logs.find({}, logId)?.state];
    });
    expect(states).toEqual([
      ['queued', 'waiting'],
      ['queued', 'waiting'],
      ['failed', 'failed'],
    ]);
    expect(claim(store)).toBeUndefined();
    expect(store.read.logs.find({}, logId)?.problem).toEqual(PROBLEM);
  });

  it('that cannot succeed fail at once', () => {
    const { store } = openTestStore();
    const logId = aWaitingLog(store);
    expect(store.jobs.fail({ lease: claimLease(store), problem: PROBLEM, retry: false })).toBe('failed');
    expect(store.read.logs.find({}, logId)).toMatchObject({ state: 'failed', problem: PROBLEM });
  });

  it('of a process that died go back to the queue at the next start and lose no attempt', () => {
    const test = openTestStore();
    const logId = aWaitingLog(test.store);
    let { store } = test;
    for (let death = 1; death <= 2 * MAX_ATTEMPTS; death++) {
      expect(claim(store)?.job.attempt).toBe(1);
      store.close();
      store = openTestStore({ folder: test.folder }).store;
      expect(store.read.logs.find({}, logId)?.state).toBe('waiting');
    }
  });

  it('that the process died of again and again rest as failed in the end', () => {
    const test = openTestStore();
    const logId = aWaitingLog(test.store);
    let { store } = test;
    for (let death = 1; death <= MAX_INTERRUPTIONS; death++) {
      expect(claim(store)).toBeDefined();
      store.close();
      store = openTestStore({ folder: test.folder }).store;
    }
    expect(claim(store)).toBeUndefined();
    expect(store.read.logs.find({}, logId)).toMatchObject({ state: 'failed', problem: { code: 'server.fault' } });
  });

  it('that are queued anew after too many deaths have all their chances again', () => {
    const test = openTestStore();
    let { store } = test;
    const job = { kind: 'check', inputKey: 'a' };
    const die = () => {
      claim(store);
      store.close();
      store = openTestStore({ folder: test.folder }).store;
    };
    const { jobId } = store.jobs.enqueue(job);
    for (let death = 1; death <= MAX_INTERRUPTIONS; death++) die();
    expect(store.read.jobs.find(jobId)?.state).toBe('failed');
    store.jobs.enqueue(job);
    die();
    expect(store.read.jobs.find(jobId)?.state).toBe('queued');
  });

  it('that a stopping worker gives back have lost no attempt', () => {
    const { store } = openTestStore();
    const logId = aWaitingLog(store);
    claim(store, 'stopping');
    expect(store.jobs.release('someone else')).toBe(0);
    expect(store.jobs.release('stopping')).toBe(1);
    expect(store.read.logs.find({}, logId)?.state).toBe('waiting');
    expect(claim(store)?.job.attempt).toBe(1);
  });

  it('of a tester with many logs do not make another tester wait', () => {
    const { store, clock } = openTestStore();
    aClub(store);
    const [busy, patient] = [aTester(store, 'busy'), aTester(store, 'patient')];
    const enqueue = (testerId: string, inputKey: string) => {
      clock.nowMs += 1;
      store.jobs.enqueue({ kind: 'check', inputKey, testerId });
    };
    for (const key of ['b1', 'b2', 'b3', 'b4']) enqueue(busy, key);
    for (const key of ['p1', 'p2']) enqueue(patient, key);
    const order: string[] = [];
    const running: JobLease[] = [];
    for (;;) {
      clock.nowMs += 1;
      const next = claim(store);
      if (!next) break;
      order.push(next.job.inputKey);
      running.push(next.lease);
      const oldest = running.length === 2 ? running.shift() : undefined;
      if (oldest) store.jobs.complete(oldest);
    }
    expect(order).toEqual(['b1', 'p1', 'b2', 'p2', 'b3', 'b4']);
  });

  it('of one log: a job with new input takes the place of the one before, whose worker then cannot end it', () => {
    const { store } = openTestStore();
    const logId = aWaitingLog(store);
    const outdated = claimLease(store);
    store.logs.requeue({ actor: SYSTEM, logId, job: { ...analysisJob(logId), inputKey: `${logId}:2` } });
    expect(store.jobs.heartbeat({ lease: outdated, leaseMs: LEASE_MS, progress: 0.9, logState: 'analysing' })).toBe(
      false,
    );
    expect(() => store.logs.replaceAnalysis(aResult({ lease: outdated, logId }))).toThrow(
      expect.objectContaining({ code: 'lease_lost' }),
    );
    expect(store.read.logs.find({}, logId)).toMatchObject({ state: 'waiting', progress: 0 });
    expect(claim(store)?.job.inputKey).toBe(`${logId}:2`);
  });

  it('in the background wait for all others, whoever they are for', () => {
    const { store, clock } = openTestStore();
    store.jobs.enqueue({ kind: 'reread', inputKey: 'a', isBackground: true });
    clock.nowMs += 10;
    store.jobs.enqueue({ kind: 'check', inputKey: 'b' });
    store.jobs.enqueue({ kind: 'check', inputKey: 'c' });
    expect(store.read.jobs.hasUrgent()).toBe(true);
    const order = ['b', 'c', 'a'].map(() => claim(store)?.job);
    expect(order.map((job) => [job?.inputKey, job?.isBackground])).toEqual([
      ['b', false],
      ['c', false],
      ['a', true],
    ]);
    expect(store.read.jobs.hasUrgent()).toBe(false);
  });

  it('in the background become urgent when somebody asks for them, and not the other way', () => {
    const { store } = openTestStore();
    const job = { kind: 'reread', inputKey: 'a' };
    store.jobs.enqueue({ ...job, isBackground: true });
    expect(store.jobs.enqueue(job).isNew).toBe(false);
    store.jobs.enqueue({ ...job, isBackground: true });
    expect(store.read.jobs.hasUrgent()).toBe(true);
  });

  it('that are given back wait as if they had not been begun', () => {
    const { store } = openTestStore();
    const logId = aWaitingLog(store);
    const lease = claimLease(store);
    store.jobs.giveBack(lease);
    expect(store.read.jobs.find(lease.jobId)).toMatchObject({ state: 'queued', attempt: 0 });
    expect(store.read.logs.find({}, logId)?.state).toBe('waiting');
    store.jobs.giveBack(lease);
    expect(store.read.jobs.find(lease.jobId)).toMatchObject({ state: 'queued', attempt: 0 });
  });
});

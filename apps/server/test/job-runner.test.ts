import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { openStore, type Store } from '@syncline/store';
import { pino } from 'pino';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { createJobRunner, type JobContext, type JobHandler, type JobRunner } from '../src/jobs/job-runner.js';
import { problem } from '../src/problem-error.js';

let folder: string;
let store: Store;
let nowMs = 0;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'syncline-jobs-'));
  nowMs = Date.parse('2026-03-01T09:00:00Z');
  let count = 0;
  store = openStore({ folder, clock: () => nowMs, ids: () => `id-${++count}`, minFreeBytes: 0 });
});
afterEach(() => {
  store.close();
  rmSync(folder, { recursive: true, force: true });
});

function runnerOf(handlers: Record<string, JobHandler>, concurrency = 1): JobRunner {
  const runner = createJobRunner({
    store,
    handlers,
    leaseOwner: 'runner',
    concurrency,
    log: pino({ level: 'silent' }),
  });
  runner.start();
  return runner;
}

const enqueue = (kind: string, inputKey: string) => store.jobs.enqueue({ kind, inputKey }).jobId;
const complete: JobHandler = async ({ lease }) => store.jobs.complete(lease);

describe('the job runner', () => {
  it('does each job once, and what is queued while it works', async () => {
    const done: string[] = [];
    const runner = runnerOf({
      work: async (context) => {
        done.push(context.job.inputKey);
        if (context.job.inputKey === 'a') enqueue('work', 'c');
        await complete(context);
      },
    });
    enqueue('work', 'a');
    enqueue('work', 'b');
    await runner.idle();
    await runner.stop();
    expect(done).toEqual(['a', 'b', 'c']);
    expect(store.read.jobs.countByState()).toMatchObject({ done: 3, queued: 0, running: 0 });
  });

  it('works on as many jobs at once as it may', async () => {
    let atOnce = 0;
    let most = 0;
    const runner = runnerOf(
      {
        work: async (context) => {
          most = Math.max(most, ++atOnce);
          await new Promise((resolve) => setImmediate(resolve));
          atOnce--;
          await complete(context);
        },
      },
      2,
    );
    for (const key of ['a', 'b', 'c', 'd']) enqueue('work', key);
    await runner.idle();
    await runner.stop();
    expect(most).toBe(2);
  });

  it('tries a job that breaks three times and then lets it rest with its problem', async () => {
    let attempts = 0;
    const runner = runnerOf({
      work: async () => {
        attempts++;
        throw new Error('the worker died');
      },
    });
    const jobId = enqueue('work', 'a');
    await runner.idle();
    await runner.stop();
    expect(attempts).toBe(3);
    // What broke is for the log, not for the page.
    expect(store.read.jobs.find(jobId)).toMatchObject({
      state: 'failed',
      problem: { code: 'server.fault', detail: 'The analysis broke off.' },
    });
  });

  it('does not repeat what no repetition mends', async () => {
    let attempts = 0;
    const runner = runnerOf({
      work: async () => {
        attempts++;
        throw problem('log.unreadable', { detail: 'line 3: found a picture' });
      },
    });
    const jobId = enqueue('work', 'a');
    await runner.idle();
    await runner.stop();
    expect(attempts).toBe(1);
    expect(store.read.jobs.find(jobId)?.problem).toMatchObject({
      code: 'log.unreadable',
      detail: 'line 3: found a picture',
    });
  });

  it('gives a job back when it is stopped, without counting the attempt', async () => {
    let started: (() => void) | undefined;
    const isStarted = new Promise<void>((resolve) => (started = resolve));
    const runner = runnerOf({
      work: ({ signal }) =>
        new Promise((_, reject) => {
          signal.addEventListener('abort', () => reject(signal.reason));
          started?.();
        }),
    });
    const jobId = enqueue('work', 'a');
    runner.nudge();
    await isStarted;
    await runner.stop();
    expect(store.read.jobs.find(jobId)).toMatchObject({ state: 'queued', problem: null });
    const next = runnerOf({ work: complete });
    await next.idle();
    await next.stop();
    expect(store.read.jobs.find(jobId)).toMatchObject({ state: 'done', attempt: 1 });
  });

  it('tells a job to end whose lease was lost, and keeps nothing of it', async () => {
    let context: JobContext | undefined;
    const runner = runnerOf({
      work: async (given) => {
        context = given;
        given.report(0.2);
        nowMs += 3600_000;
        store.jobs.claim({ leaseOwner: 'another', leaseMs: 60_000 });
        given.report(0.4, 'analysing');
        given.signal.throwIfAborted();
      },
    });
    const jobId = enqueue('work', 'a');
    await runner.idle();
    await runner.stop();
    expect(context?.signal.aborted).toBe(true);
    expect(store.read.jobs.find(jobId)).toMatchObject({ state: 'running', attempt: 2 });
  });

  it('puts background work back for work that somebody waits for, and does it afterwards', async () => {
    const log: string[] = [];
    let signalBegun = () => {};
    const begun = new Promise<void>((resolve) => {
      signalBegun = resolve;
    });
    const runner = runnerOf({
      slow: async (context) => {
        log.push(`begin ${context.job.inputKey}`);
        signalBegun();
        // The second time it is let run to its end.
        if (log.length === 1) await new Promise((resolve) => context.signal.addEventListener('abort', resolve));
        context.signal.throwIfAborted();
        await complete(context);
        log.push(`end ${context.job.inputKey}`);
      },
      quick: async (context) => {
        await complete(context);
        log.push(`end ${context.job.inputKey}`);
      },
    });
    const { jobId } = store.jobs.enqueue({ kind: 'slow', inputKey: 'old log', isBackground: true });
    runner.nudge();
    await begun;
    enqueue('quick', 'upload');
    await runner.idle();
    await runner.stop();
    expect(log).toEqual(['begin old log', 'end upload', 'begin old log', 'end old log']);
    expect(store.read.jobs.find(jobId)).toMatchObject({ state: 'done', attempt: 1 });
  });

  it('leaves background work alone while there is a place beside it', async () => {
    const parked: string[] = [];
    let release = () => {};
    const runner = runnerOf(
      {
        slow: async (context) => {
          await new Promise<void>((resolve) => {
            release = resolve;
          });
          if (context.signal.aborted) parked.push(context.job.inputKey);
          await complete(context);
        },
        quick: async (context) => {
          await complete(context);
          release();
        },
      },
      2,
    );
    store.jobs.enqueue({ kind: 'slow', inputKey: 'old log', isBackground: true });
    runner.nudge();
    await new Promise((resolve) => setImmediate(resolve));
    enqueue('quick', 'upload');
    await runner.idle();
    await runner.stop();
    expect(parked).toEqual([]);
  });
});

import type { RevisionContentDocument, SaveDraftResponse } from '@syncline/contract';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { SAVE_DELAY_MS, SaveQueue, type SaveState } from '../src/pages/draft/model/save-queue.js';
import { PLATFORM } from './small-layout.js';

beforeEach(() => void vi.useFakeTimers());
afterEach(() => void vi.useRealTimers());

const content = (value: number): RevisionContentDocument => ({
  platformId: PLATFORM.id,
  layoutVersion: 1,
  tables: { base: { axes: [], values: { all: [value] } } },
});

class Away extends Error {}
class Refused extends Error {}

/** A server that keeps what it is sent; each answer waits until the test gives it. */
function aQueue() {
  const requests: { version: number; content: RevisionContentDocument }[] = [];
  const answers: ((error?: Error) => void)[] = [];
  const states: SaveState[] = [];
  const queue = new SaveQueue({
    version: 1,
    savedAt: 'at the start',
    send: (request) => {
      requests.push(request);
      return new Promise<SaveDraftResponse>((resolve, reject) => {
        answers.push((error) =>
          error === undefined
            ? resolve({
                version: request.version + 1,
                updatedAt: `save ${request.version + 1}`,
                contentHash: '',
                findings: [],
                lock: null,
              })
            : reject(error),
        );
      });
    },
    isPassing: (error) => error instanceof Away,
  });
  queue.listen({ onSaved: () => {}, onState: (state) => states.push(state) });
  const answer = async (error?: Error) => {
    answers.shift()?.(error);
    await vi.advanceTimersByTimeAsync(0);
  };
  return { queue, requests, states, answer, lastState: () => states.at(-1) };
}

describe('the queue of saves', () => {
  it('waits for a pause in typing and sends the last content only', async () => {
    const { queue, requests } = aQueue();
    for (const value of [1, 2, 3]) {
      queue.put(content(value));
      await vi.advanceTimersByTimeAsync(SAVE_DELAY_MS / 2);
    }
    expect(requests).toEqual([]);
    await vi.advanceTimersByTimeAsync(SAVE_DELAY_MS);
    expect(requests).toEqual([{ version: 1, content: content(3) }]);
  });

  it('names the version of the save before, one request at a time', async () => {
    const { queue, requests, answer, lastState } = aQueue();
    queue.put(content(1));
    await vi.advanceTimersByTimeAsync(SAVE_DELAY_MS);
    queue.put(content(2));
    await vi.advanceTimersByTimeAsync(5 * SAVE_DELAY_MS);
    expect(requests).toHaveLength(1);
    await answer();
    await vi.advanceTimersByTimeAsync(SAVE_DELAY_MS);
    expect(requests[1]).toEqual({ version: 2, content: content(2) });
    await answer();
    expect(lastState()).toEqual({ kind: 'saved', at: 'save 3' });
    expect(queue.isClean).toBe(true);
  });

  it('sends at once when the page is left, and says whether all arrived', async () => {
    const { queue, requests, answer } = aQueue();
    queue.put(content(1));
    const flushed = queue.flush();
    expect(requests).toHaveLength(1);
    await answer();
    expect(await flushed).toBe(true);
    expect(await queue.flush()).toBe(true);
  });

  it('tries again by itself while the server is away, with the newest content', async () => {
    const { queue, requests, answer, lastState } = aQueue();
    queue.put(content(1));
    await vi.advanceTimersByTimeAsync(SAVE_DELAY_MS);
    await answer(new Away());
    expect(lastState()).toMatchObject({ kind: 'failed', isTriedAgain: true });
    queue.put(content(2));
    await vi.advanceTimersByTimeAsync(60_000);
    expect(requests.at(-1)).toEqual({ version: 1, content: content(2) });
    await answer();
    expect(lastState()).toMatchObject({ kind: 'saved' });
  });

  it('stops at a refusal and keeps what was typed until somebody has decided', async () => {
    const { queue, requests, answer, lastState } = aQueue();
    queue.put(content(1));
    await vi.advanceTimersByTimeAsync(SAVE_DELAY_MS);
    await answer(new Refused());
    expect(lastState()).toMatchObject({ kind: 'failed', isTriedAgain: false });
    queue.put(content(2));
    await vi.advanceTimersByTimeAsync(60_000);
    expect(requests).toHaveLength(1);
    expect(await queue.flush()).toBe(false);
    queue.resume({ version: 8, savedAt: 'theirs' });
    await vi.advanceTimersByTimeAsync(0);
    expect(requests[1]).toEqual({ version: 8, content: content(2) });
  });

  it('sends nothing of what was forgotten because the server has other content now', async () => {
    const { queue, requests, lastState } = aQueue();
    queue.put(content(1));
    queue.forget();
    queue.resume({ version: 5, savedAt: 'theirs' });
    await vi.advanceTimersByTimeAsync(60_000);
    expect(requests).toEqual([]);
    expect(lastState()).toEqual({ kind: 'saved', at: 'theirs' });
    expect(queue.version).toBe(5);
  });
});

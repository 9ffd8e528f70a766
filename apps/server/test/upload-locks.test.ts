import { describe, expect, it } from 'vitest';
import { UploadLocks } from '../src/services/upload-locks.js';

const never = new AbortController().signal;

/** Something to wait for that the test ends. */
function open() {
  let end = () => {};
  const ended = new Promise<void>((resolve) => {
    end = resolve;
  });
  return { ended, end };
}

describe('the lock of an upload', () => {
  it('is held by one after the other, in the order of coming', async () => {
    const locks = new UploadLocks();
    const seen: string[] = [];
    const first = open();
    const work = [
      locks.hold('a', async () => {
        await first.ended;
        seen.push('first');
      }),
      locks.hold('a', async () => void seen.push('second')),
      locks.hold('a', async () => void seen.push('third')),
    ];
    await locks.hold('b', async () => void seen.push('another upload'));
    first.end();
    await Promise.all(work);
    expect(seen).toEqual(['another upload', 'first', 'second', 'third']);
  });

  it('is asked for by everyone who comes, and by whoever waits when the next one has it', async () => {
    const locks = new UploadLocks();
    const asked: string[] = [];
    const enter = (name: string) => {
      const lock = locks.newLock('a');
      return { lock, entered: lock.lock(never, () => void asked.push(name)) };
    };
    const [first, second, third] = ['first', 'second', 'third'].map(enter);
    await first.entered;
    expect(asked).toEqual(['first', 'first']);
    await first.lock.unlock();
    await second.entered;
    expect(asked).toEqual(['first', 'first', 'second']);
    await second.lock.unlock();
    await third.entered;
    await third.lock.unlock();
    expect(asked).toHaveLength(3);
  });

  it('is not waited for by a request whose sender has gone', async () => {
    const locks = new UploadLocks();
    const first = open();
    const holding = locks.hold('a', () => first.ended);
    const gone = new AbortController();
    const waiting = locks.newLock('a').lock(gone.signal, () => undefined);
    gone.abort();
    await expect(waiting).rejects.toMatchObject({ status_code: 400 });
    first.end();
    await holding;
    await expect(locks.hold('a', async () => 'free')).resolves.toBe('free');
  });

  it('is given back when the work fails', async () => {
    const locks = new UploadLocks();
    await expect(locks.hold('a', () => Promise.reject(new Error('no')))).rejects.toThrow('no');
    await expect(locks.hold('a', async () => 'free')).resolves.toBe('free');
  });
});

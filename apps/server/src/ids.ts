import { randomBytes } from 'node:crypto';

/**
 * Makes UUIDs of version 7 (RFC 9562): unique, and rising within the process, so that rows sort by age even within a
 * millisecond or when the clock is set back.
 */
export function createIds(clock: () => number): () => string {
  let lastMs = 0;
  let counter = 0;
  return () => {
    const nowMs = clock();
    if (nowMs > lastMs) {
      lastMs = nowMs;
      counter = 0;
    } else if (++counter > 0xfff) {
      lastMs += 1;
      counter = 0;
    }
    const time = lastMs.toString(16).padStart(12, '0');
    const tail = randomBytes(8);
    tail[0] = 0x80 | (tail[0] & 0x3f);
    const hex = `${time}7${counter.toString(16).padStart(3, '0')}${tail.toString('hex')}`;
    return `${hex.slice(0, 8)}-${hex.slice(8, 12)}-${hex.slice(12, 16)}-${hex.slice(16, 20)}-${hex.slice(20)}`;
  };
}

import { createHmac, randomBytes, timingSafeEqual } from 'node:crypto';

/** Small values that a browser keeps for us and cannot alter. The key goes with the process, and so do they. */
export interface Sealer {
  seal(value: object, expiresAtMs: number): string;
  /** Undefined for what we did not seal, or whose time is over. */
  open(sealed: string): unknown;
}

/** Each purpose takes a sealer of its own, so that what was sealed for one cannot be shown for another. */
export function createSealer(clock: () => number): Sealer {
  const key = randomBytes(32);
  const sign = (text: string) => createHmac('sha256', key).update(text).digest();
  return {
    seal(value, expiresAtMs) {
      const text = Buffer.from(JSON.stringify({ value, expiresAtMs })).toString('base64url');
      return `${text}.${sign(text).toString('base64url')}`;
    },
    open(sealed) {
      const [text = '', signature = ''] = sealed.split('.');
      const found = Buffer.from(signature, 'base64url');
      const expected = sign(text);
      if (found.length !== expected.length || !timingSafeEqual(found, expected)) return undefined;
      const { value, expiresAtMs } = JSON.parse(Buffer.from(text, 'base64url').toString('utf8'));
      return clock() < expiresAtMs ? value : undefined;
    },
  };
}

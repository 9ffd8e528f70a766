import { randomBytes } from 'node:crypto';
import { hashSecret } from '../secrets.js';

const CODE_COUNT = 10;
/** Five bits a letter: 120 bits, too many to be guessed from a fast hash. */
const LETTERS = 24;
/** Base32 of RFC 4648 in small letters: none is taken for a digit of it. */
const BASE32 = 'abcdefghijklmnopqrstuvwxyz234567';

export interface RecoveryCodes {
  /** To be shown once. */
  readonly codes: readonly string[];
  readonly codeHashes: readonly string[];
}

/** Codes for when the authenticator app is lost, in groups of four letters. */
export function newRecoveryCodes(): RecoveryCodes {
  const codes = Array.from({ length: CODE_COUNT }, newCode);
  return { codes, codeHashes: codes.map(hashRecoveryCode) };
}

/** Whichever way it was typed. */
export function hashRecoveryCode(code: string): string {
  return hashSecret(code.toLowerCase().replace(/[^a-z0-9]/g, ''));
}

function newCode(): string {
  const letters = Array.from(randomBytes(LETTERS), (byte) => BASE32[byte & 31]).join('');
  return letters.replace(/.{4}(?=.)/g, '$&-');
}

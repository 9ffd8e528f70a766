import type { TableSpec } from '../layout/layout.js';
import { rawOf, valueOf } from '../layout/storage.js';

/** Binary32 holds every decimal number of 6 digits apart and needs at most 9 to be told from its neighbours. */
const MAX_FLOAT32_DIGITS = 9;
/** The most that `toFixed` takes. */
const MAX_DECIMALS = 100;

/**
 * Turns kept numbers into the values that a person would write for them: 0.3 and not 0.30000000000000004 for three
 * steps of 0.1. The value has no more decimals than resolution and offset, or for `f32` as few digits as tell it from
 * its neighbours, and is kept as the same number again wherever double precision can tell the steps apart.
 */
export function storedValueReader(storage: TableSpec['storage']): (raw: number) => number {
  const decimals = Math.min(MAX_DECIMALS, Math.max(decimalsOf(storage.resolution), decimalsOf(storage.offset)));
  return (raw) => {
    const exact = valueOf(storage, raw);
    const clean = storage.type === 'f32' ? shortest(storage, raw, exact) : Number(exact.toFixed(decimals));
    // Adding 0 makes −0 plain 0, which is all that canonical JSON knows.
    return (rawOf(storage, clean) === raw ? clean : exact) + 0;
  };
}

function shortest(storage: TableSpec['storage'], raw: number, exact: number): number {
  for (let digits = 1; digits < MAX_FLOAT32_DIGITS; digits++) {
    const candidate = Number(exact.toPrecision(digits));
    if (rawOf(storage, candidate) === raw) return candidate;
  }
  return Number(exact.toPrecision(MAX_FLOAT32_DIGITS));
}

/** Digits after the decimal point in the shortest decimal form of a number: 2 for 0.25, 7 for 1e-7. */
function decimalsOf(value: number): number {
  const [mantissa, exponent = '0'] = String(value).split('e');
  const fraction = mantissa.split('.')[1] ?? '';
  return Math.max(0, fraction.length - Number(exponent));
}

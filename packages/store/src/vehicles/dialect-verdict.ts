import type { DialectVerdict } from './vehicles.js';

/**
 * What the observed bus dialect says of the declared one (methods.md 8). Nothing observed, or observed without a
 * match, leaves it unknown; so does an observation without a declaration to hold it against.
 */
export function dialectVerdict(declared: string | null, observed: string | null): DialectVerdict {
  if (declared === null || observed === null) return 'unknown';
  return declared === observed ? 'confirmed' : 'contradicted';
}

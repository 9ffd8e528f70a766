import { sha256 } from '@noble/hashes/sha2.js';
import { bytesToHex } from '@noble/hashes/utils.js';
import { canonicalJson } from './canonical-json.js';
import type { RevisionContent } from './content.js';

/**
 * Identity of a revision's content: SHA-256 (FIPS 180-4) of its canonical JSON in UTF-8, as 64 lower-case hex digits.
 * Independent of key order; 0 and −0 count as the same number.
 */
export function contentHash(content: RevisionContent): string {
  return sha256Hex(canonicalJson(content));
}

/** SHA-256 of bytes, or of text in UTF-8, as lower-case hex. */
export function sha256Hex(data: Uint8Array | string): string {
  return bytesToHex(sha256(typeof data === 'string' ? new TextEncoder().encode(data) : data));
}

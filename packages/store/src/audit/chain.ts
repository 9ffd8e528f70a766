import { createHash } from 'node:crypto';
import { canonicalJson } from '@syncline/calibration';
import type { AuditEntry } from './audit.js';

/** What stands before the first entry. */
export const CHAIN_START = '0'.repeat(64);

/**
 * Hash of an entry: SHA-256 of `{ "entry": …, "previous": … }` in canonical JSON (RFC 8785), where `entry` has every
 * field but the hash and `previous` is the hash of the entry before. Whoever changes, removes or slips in an entry has
 * to make every later hash anew. Cutting off the end shows only against a head that was written down elsewhere.
 */
export function entryHash(previousHash: string, entry: Omit<AuditEntry, 'hash'> & { readonly hash?: string }): string {
  const { hash: _own, ...content } = entry;
  return createHash('sha256')
    .update(canonicalJson({ previous: previousHash, entry: content }))
    .digest('hex');
}

/** What came of checking a chain. `headHash` is the one of the last entry that was checked. */
export type ChainVerdict =
  | { readonly kind: 'whole'; readonly entryCount: number; readonly headHash: string }
  | {
      readonly kind: 'broken';
      /** Entries before the first that does not fit. */
      readonly entryCount: number;
      readonly entryId: number;
      readonly reason: string;
    };

/** Checks a chain a batch at a time, oldest entries first, so that a long one never holds anything up. */
export class ChainCheck {
  #entryCount = 0;
  #headHash = CHAIN_START;
  #break: { readonly entryId: number; readonly reason: string } | undefined;

  /** Goes on with these entries; false once the chain is broken, whatever else comes. */
  take(entries: Iterable<AuditEntry>): boolean {
    for (const entry of entries) {
      if (this.#break) return false;
      const reason = this.#faultOf(entry);
      if (reason !== undefined) {
        this.#break = { entryId: entry.id, reason };
        return false;
      }
      this.#entryCount += 1;
      this.#headHash = entry.hash;
    }
    return this.#break === undefined;
  }

  verdict(): ChainVerdict {
    return this.#break
      ? { kind: 'broken', entryCount: this.#entryCount, ...this.#break }
      : { kind: 'whole', entryCount: this.#entryCount, headHash: this.#headHash };
  }

  #faultOf(entry: AuditEntry): string | undefined {
    if (entry.id !== this.#entryCount + 1) {
      return `entry ${this.#entryCount + 1} was expected here, so that what lay between is gone`;
    }
    if (entryHash(this.#headHash, entry) === entry.hash) return undefined;
    return 'its hash does not fit its content and the entry before it: one of them was changed';
  }
}

import { createHash } from 'node:crypto';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { canonicalJson, contentHash, type RevisionContent } from '../src/index.js';
import { anyContent } from './example.js';

describe('contentHash', () => {
  it('is the SHA-256 of the canonical JSON in UTF-8', () => {
    fc.assert(
      fc.property(anyContent, (content) => {
        expect(contentHash(content)).toBe(createHash('sha256').update(canonicalJson(content), 'utf8').digest('hex'));
      }),
      { numRuns: 20 },
    );
  });

  it('does not depend on the order of tables and variants', () => {
    fc.assert(
      fc.property(anyContent, (content) => {
        expect(contentHash(backwards(content) as RevisionContent)).toBe(contentHash(content));
      }),
      { numRuns: 20 },
    );
  });

  it('changes with any cell, break point, platform or layout version', () => {
    fc.assert(
      fc.property(anyContent, fc.nat(), fc.nat(), (content, pick, step) => {
        const tableIds = Object.keys(content.tables);
        const id = tableIds[pick % tableIds.length];
        const table = content.tables[id];
        const variants = Object.keys(table.values);
        const variant = variants[step % variants.length];
        const values = nudged(table.values[variant], pick);
        const hashes = [
          content,
          withTable(content, id, { ...table, values: { ...table.values, [variant]: values } }),
          ...table.axes.map((axis, i) =>
            withTable(content, id, { ...table, axes: table.axes.with(i, nudged(axis, step)) }),
          ),
          { ...content, platformId: 'dunlin' },
          { ...content, layoutVersion: content.layoutVersion + 1 },
        ].map(contentHash);
        expect(new Set(hashes).size).toBe(hashes.length);
      }),
      { numRuns: 50 },
    );
  });
});

function nudged(values: readonly number[], at: number): number[] {
  return values.map((value, i) => (i === at % values.length ? value * (1 + 2 ** -50) + 2 ** -60 : value));
}

function withTable(content: RevisionContent, id: string, table: RevisionContent['tables'][string]): RevisionContent {
  return { ...content, tables: { ...content.tables, [id]: table } };
}

function backwards(value: unknown): unknown {
  if (typeof value !== 'object' || value === null || Array.isArray(value)) return value;
  return Object.fromEntries(
    Object.entries(value)
      .reverse()
      .map(([key, entry]) => [key, backwards(entry)]),
  );
}

import type { RevisionContent } from '@syncline/calibration';

/** Contents are kept in memory up to this many values, eight bytes each: some forty of the largest layouts in use. */
const KEPT_VALUES = 8 * 2 ** 20;

/** Contents by their hash, the least recently used given up first. Content never changes, so that none goes stale. */
export class ContentCache {
  private readonly kept = new Map<string, { readonly content: RevisionContent; readonly size: number }>();
  private readonly limit: number;
  private size = 0;

  constructor(limit = KEPT_VALUES) {
    this.limit = limit;
  }

  get(contentHash: string, read: () => RevisionContent | undefined): RevisionContent | undefined {
    const known = this.kept.get(contentHash);
    if (known) {
      this.kept.delete(contentHash);
      this.kept.set(contentHash, known);
      return known.content;
    }
    const content = read();
    if (content) this.keep(contentHash, content);
    return content;
  }

  private keep(contentHash: string, content: RevisionContent): void {
    const entry = { content, size: countValues(content) };
    this.kept.set(contentHash, entry);
    this.size += entry.size;
    for (const [oldest, { size }] of this.kept) {
      if (this.size <= this.limit) break;
      this.kept.delete(oldest);
      this.size -= size;
    }
  }
}

function countValues({ tables }: RevisionContent): number {
  const lists = Object.values(tables).flatMap(({ axes, values }) => [...axes, ...Object.values(values)]);
  return lists.reduce((sum, list) => sum + list.length, 0);
}

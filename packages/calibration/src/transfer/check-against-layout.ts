import { checkShape } from '../checks/check-shape.js';
import type { RevisionContent } from '../document/content.js';
import type { Layout } from '../layout/layout.js';
import type { Platform } from '../layout/platform.js';
import { ProblemList, quoted, type Refused, refusedFor } from './transfer-problem.js';

/**
 * Refuses content that is not made of the layout's tables, axes and variants. Limits, slopes and storage are left to
 * `checkContent`: values that break them may come into a draft, where they are shown and can be mended.
 */
export function checkAgainstLayout(
  content: RevisionContent,
  layout: Layout,
  platform: Platform,
): { readonly kind: 'read'; readonly content: RevisionContent } | Refused {
  const problems = new ProblemList();
  if (!isOfLayout(content, layout)) return refusedFor(otherLayoutMessage(content, layout));
  const known = new Set(layout.tables.map((spec) => spec.id));
  for (const tableId of Object.keys(content.tables)) {
    if (known.has(tableId)) continue;
    problems.add(`Table ${quoted(tableId)} is not in layout version ${layout.version}. Remove it or mend its name.`, {
      tableId,
    });
  }
  for (const spec of layout.tables) {
    const table = Object.hasOwn(content.tables, spec.id) ? content.tables[spec.id] : undefined;
    if (!table) {
      problems.add(`Table '${spec.id}' (${spec.title}) is missing. Add it.`, { tableId: spec.id });
      continue;
    }
    for (const { message, variant } of checkShape(spec, platform, table)) {
      problems.add(message, { tableId: spec.id, variant });
    }
  }
  return problems.isEmpty ? { kind: 'read', content } : problems.refusal();
}

/** Whether content says that it is for this version of the layout. */
export function isOfLayout(content: RevisionContent, layout: Layout): boolean {
  return content.platformId === layout.platformId && content.layoutVersion === layout.version;
}

export function otherLayoutMessage(content: RevisionContent, layout: Layout): string {
  const found = `${quoted(content.platformId)}, layout version ${content.layoutVersion}`;
  const expected = `'${layout.platformId}', layout version ${layout.version}`;
  return `The content is for ${found}; expected ${expected}. Choose that layout, or another file.`;
}

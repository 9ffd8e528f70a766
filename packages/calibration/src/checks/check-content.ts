import type { RevisionContent, TableContent } from '../document/content.js';
import type { Layout, TableSpec } from '../layout/layout.js';
import type { Platform } from '../layout/platform.js';
import { checkSchedules } from '../schedule/check-schedules.js';
import { checkTable } from './check-table.js';
import { type Finding, finding } from './finding.js';

/**
 * Everything in which content departs from its layout: shape, axes, limits, required course, slopes, storage, reach of
 * coils, shift schedules. Empty for content that may become a revision; only `blocking` findings forbid it. Values are
 * looked at only where the shape of their table is right. The number of findings is bounded by that of cells times that
 * of checks.
 * @param parent what the content was made from, for the tables that bound the step of a cell; a parent of another layout
 * version is not compared (bring it over with `migrateContent` first)
 */
export function checkContent(
  layout: Layout,
  platform: Platform,
  content: RevisionContent,
  parent?: RevisionContent,
): Finding[] {
  const known = new Set(layout.tables.map((spec) => spec.id));
  const unknown = Object.keys(content.tables).filter((id) => !known.has(id));
  const before = parent && isOfLayout(layout, parent) ? parent : undefined;
  return [
    ...checkOrigin(layout, content),
    ...unknown.map((tableId) => {
      const message = `Table '${tableId}' is not in layout version ${layout.version}. Remove it or mend its name.`;
      return finding({ code: 'tableUnknown', tableId, found: tableId, message });
    }),
    ...layout.tables.flatMap((spec) => {
      const table = ownTable(content, spec.id);
      return table
        ? checkTable(layout, platform, spec, table, before && ownTable(before, spec.id))
        : [missingTable(spec)];
    }),
    ...checkSchedules(layout, platform, content),
  ];
}

function ownTable(content: RevisionContent, tableId: string): TableContent | undefined {
  return Object.hasOwn(content.tables, tableId) ? content.tables[tableId] : undefined;
}

function isOfLayout(layout: Layout, content: RevisionContent): boolean {
  return content.platformId === layout.platformId && content.layoutVersion === layout.version;
}

function checkOrigin(layout: Layout, content: RevisionContent): Finding[] {
  if (isOfLayout(layout, content)) return [];
  const found = `${content.platformId}, layout version ${content.layoutVersion}`;
  const bound = `${layout.platformId}, layout version ${layout.version}`;
  const message = `The content is for ${found}; expected ${bound}. Choose that layout or move the content to it.`;
  return [finding({ code: 'otherLayout', found, bound, message })];
}

function missingTable(spec: TableSpec): Finding {
  const message = `Table '${spec.id}' (${spec.title}) is missing. Add it; its default is ${spec.defaultValue} ${spec.unit}.`;
  return finding({ code: 'tableMissing', tableId: spec.id, bound: spec.id, message });
}

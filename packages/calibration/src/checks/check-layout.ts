import type { Layout } from '../layout/layout.js';
import type { Platform } from '../layout/platform.js';
import { checkImageMap } from './check-image-map.js';
import { checkRule } from './check-rule.js';
import { checkScheduleSpec } from './check-schedule-spec.js';
import { checkTableSpec } from './check-table-spec.js';
import { findRepeated } from './find-repeated.js';
import { type Finding, finding } from './finding.js';

/** What is wrong with a layout in itself; empty for a layout that calibrations may be built on. */
export function checkLayout(layout: Layout, platform: Platform): Finding[] {
  const schedules = layout.schedules ?? [];
  return [
    ...checkPlatform(layout, platform),
    ...findRepeated(layout.tables.map((table) => table.id)).map((id) => duplicate('table', id)),
    ...findRepeated(layout.rules.map((rule) => rule.id)).map((id) => duplicate('rule', id)),
    ...findRepeated(schedules.map((schedule) => schedule.id)).map((id) => duplicate('schedule', id)),
    ...layout.tables.flatMap((spec) => checkTableSpec(spec)),
    ...layout.rules.flatMap((rule) => checkRule(rule, layout)),
    ...schedules.flatMap((schedule) => checkScheduleSpec(schedule, layout)),
    ...(layout.image ? checkImageMap(layout.image, layout, platform) : []),
  ];
}

function checkPlatform(layout: Layout, platform: Platform): Finding[] {
  if (layout.platformId === platform.id) return [];
  const message = `The layout is for platform '${layout.platformId}', not '${platform.id}'. Choose the layout's platform.`;
  return [finding({ code: 'otherPlatform', found: layout.platformId, bound: platform.id, message })];
}

function duplicate(kind: 'table' | 'rule' | 'schedule', id: string): Finding {
  const message = `The ${kind} id '${id}' is used more than once. Give each ${kind} its own id.`;
  return finding({ code: 'duplicateId', tableId: kind === 'table' ? id : null, found: id, message });
}

import type { TableContent } from '../document/content.js';
import type { Layout, TableSpec } from '../layout/layout.js';
import type { Platform } from '../layout/platform.js';
import { variantsOf } from '../layout/variants.js';
import { areAxesSound, checkShape, hasValuesOf } from './check-shape.js';
import { checkSteps } from './check-steps.js';
import { checkStoredAxes } from './check-stored-axes.js';
import { checkValues } from './check-values.js';
import type { Finding } from './finding.js';

/**
 * What `checkContent` finds in one table, for a page that checks the table being edited. Schedules, which join two
 * tables, are checked by `checkSchedules`. O(cells).
 * @param parentTable the same table of the revision that the content was made from, if steps are to be checked
 */
export function checkTable(
  layout: Layout,
  platform: Platform,
  spec: TableSpec,
  table: TableContent,
  parentTable?: TableContent,
): Finding[] {
  const findings = checkShape(spec, platform, table);
  if (!areAxesSound(findings)) return findings;
  return [
    ...findings,
    ...checkStoredAxes(layout, spec, table),
    ...variantsOf(spec, platform)
      .filter((variant) => hasValuesOf(table, variant))
      .flatMap((variant) => {
        const checked = { spec, axes: table.axes, variant, values: table.values[variant] };
        return [...checkValues(checked), ...(parentTable ? checkSteps(checked, parentTable) : [])];
      }),
  ];
}

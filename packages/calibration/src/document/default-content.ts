import type { Layout, TableSpec } from '../layout/layout.js';
import type { Platform } from '../layout/platform.js';
import { variantsOf } from '../layout/variants.js';
import type { RevisionContent, TableContent } from './content.js';

/** The content that a new calibration begins with: default break points, every cell at its table's default value. */
export function defaultContent(layout: Layout, platform: Platform): RevisionContent {
  return {
    platformId: layout.platformId,
    layoutVersion: layout.version,
    tables: Object.fromEntries(layout.tables.map((spec) => [spec.id, defaultTable(spec, platform)])),
  };
}

/** One table of `defaultContent`. */
export function defaultTable(spec: TableSpec, platform: Platform): TableContent {
  const axes = spec.axes.map((axis) => [...axis.breakpoints]);
  const count = cellCount(axes);
  const values = Object.fromEntries(
    variantsOf(spec, platform).map((variant) => [variant, Array.from({ length: count }, () => spec.defaultValue)]),
  );
  return { axes, values };
}

/** Number of cells that the axes span; 1 for none. */
export function cellCount(axes: readonly ArrayLike<number>[]): number {
  return axes.reduce((count, axis) => count * axis.length, 1);
}

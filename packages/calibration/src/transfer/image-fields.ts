import { CalibrationError } from '../calibration-error.js';
import { cellCount } from '../document/default-content.js';
import type { ImageMap, Layout, TableSpec } from '../layout/layout.js';
import type { Platform } from '../layout/platform.js';
import { variantsOf } from '../layout/variants.js';
import { STORAGE_BYTES } from './raw-number.js';

/** Numbers of one kind that lie one behind the other in the image: the values of a variant, or break points. */
export interface ImageField {
  readonly spec: TableSpec;
  /** Null for break points. */
  readonly variant: string | null;
  /** Index of the axis whose break points these are; null for values. */
  readonly axis: number | null;
  readonly address: number;
  readonly count: number;
  readonly storage: TableSpec['storage'];
}

/** The layout's image map; throws `noImage` for a layout without one. */
export function getImageMap(layout: Layout): ImageMap {
  if (layout.image) return layout.image;
  const name = `Layout version ${layout.version} of '${layout.platformId}'`;
  throw new CalibrationError(
    'noImage',
    `${name} has no image map, so no memory image can be made or read. Give a new layout version a map.`,
  );
}

/**
 * Everything that the map places in the image but checksums: break points first, then values table by table, the
 * variants in the platform's order. Places of tables and axes that the layout does not have are left out.
 */
export function imageFields(layout: Layout, platform: Platform): ImageField[] {
  const map = getImageMap(layout);
  const specs = new Map(layout.tables.map((spec) => [spec.id, spec]));
  const breakpoints = map.axes.flatMap((place): ImageField[] => {
    const spec = specs.get(place.tableId);
    const axis = spec?.axes[place.axis];
    return spec && axis ? [{ ...place, spec, variant: null, count: axis.breakpoints.length }] : [];
  });
  const values = map.tables.flatMap(({ tableId, address }): ImageField[] => {
    const spec = specs.get(tableId);
    if (!spec) return [];
    const { storage } = spec;
    const count = cellCount(spec.axes.map((axis) => axis.breakpoints));
    const variantBytes = count * STORAGE_BYTES[storage.type];
    return variantsOf(spec, platform).map((variant, i): ImageField => {
      return { spec, variant, axis: null, address: address + i * variantBytes, count, storage };
    });
  });
  return [...breakpoints, ...values];
}

/** Bytes that a field takes. */
export function fieldBytes(field: ImageField): number {
  return field.count * STORAGE_BYTES[field.storage.type];
}

/** How messages call a field: `Table 'base', 1-2`, or `Table 'base', break points of Load`. */
export function fieldName({ spec, variant, axis }: ImageField): string {
  return `Table '${spec.id}', ${axis === null ? variant : `break points of ${spec.axes[axis].title}`}`;
}

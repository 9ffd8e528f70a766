import type { OperatingPoint, RevisionContent } from '../document/content.js';
import type { AxisSpec, Layout } from '../layout/layout.js';
import { getVariantAt, missingCoordinate, type TableVariant } from './find-table.js';
import { interpolate, interpolateGrid, interpolateLine } from './interpolate.js';

/** A prepared question: the same tables asked at many operating points. */
export type CompiledLookUp = (point: OperatingPoint) => number;

/**
 * Value of one table at an operating point, in the table's unit.
 * Throws `missingCoordinate` when the point lacks (or has NaN for) what the table's axes and repetition need.
 */
export function lookUp(layout: Layout, content: RevisionContent, tableId: string, point: OperatingPoint): number {
  return valueAt(getVariantAt(layout, content, tableId, point), point);
}

/**
 * `lookUp` for an inner loop. The variant comes from `fixed`; a coordinate given there holds for every call, the others
 * are read from the point of the call, where an absent one throws and NaN gives NaN. Allocates nothing per call and
 * keeps a copy of the values, so that a later change of the content has no influence.
 */
export function compileLookUp(
  layout: Layout,
  content: RevisionContent,
  tableId: string,
  fixed: OperatingPoint,
): CompiledLookUp {
  return compileTable(getVariantAt(layout, content, tableId, fixed), fixed);
}

/** Value of a table that is already found. */
export function valueAt(table: TableVariant, point: OperatingPoint): number {
  return interpolate(table.content.axes, table.values, coordinatesOf(table, point));
}

/** The coordinates that the table's axes need, in their order. */
export function coordinatesOf(table: TableVariant, point: OperatingPoint): number[] {
  return table.spec.axes.map((axis) => {
    const x = point[axis.quantity];
    if (x === undefined || Number.isNaN(x)) throw missingCoordinate(table.spec.id, axis.quantity);
    return x;
  });
}

/** The prepared form of a table that is already found. */
function compileTable(table: TableVariant, fixed: OperatingPoint): CompiledLookUp {
  const values = Float64Array.from(table.values);
  const axes = table.content.axes.map((axis) => Float64Array.from(axis));
  const coordinate = table.spec.axes.map((axis) => compileCoordinate(axis, fixed, table.spec.id));
  switch (axes.length) {
    case 0:
      return () => values[0];
    case 1: {
      const [axis] = axes;
      const [x] = coordinate;
      return (point) => interpolateLine(axis, values, x(point));
    }
    default: {
      const [rowAxis, columnAxis] = axes;
      const [row, column] = coordinate;
      return (point) => interpolateGrid(rowAxis, columnAxis, values, row(point), column(point));
    }
  }
}

function compileCoordinate(axis: AxisSpec, fixed: OperatingPoint, tableId: string): CompiledLookUp {
  const { quantity } = axis;
  const constant = fixed[quantity];
  if (constant !== undefined) return () => constant;
  return (point) => {
    const x = point[quantity];
    if (x === undefined) throw missingCoordinate(tableId, quantity);
    return x;
  };
}

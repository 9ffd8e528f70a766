import { CalibrationError } from '../calibration-error.js';
import type { TableContent } from '../document/content.js';
import type { TableSpec } from '../layout/layout.js';
import { type ResampledTable, resampleTable } from '../tables/resample.js';

/**
 * The table with one break point elsewhere and all variants read off at the new axis, with what that changed most.
 * Throws `badEdit` where the layout fixes the axis, the break point does not exist, or the new place is not between its
 * neighbours.
 */
export function moveBreakpoint(
  spec: TableSpec,
  table: TableContent,
  axisIndex: number,
  breakpointIndex: number,
  place: number,
): ResampledTable {
  const axis = spec.axes[axisIndex];
  const breakpoints = table.axes[axisIndex];
  if (!axis || !(breakpointIndex in breakpoints)) {
    throw refusal(spec, `has no break point ${breakpointIndex + 1} on axis ${axisIndex + 1}. Choose one of its own.`);
  }
  if (!axis.editable)
    throw refusal(spec, `has a fixed axis '${axis.title}'. Move break points in a new layout version.`);
  const above = breakpoints[breakpointIndex - 1] ?? Number.NEGATIVE_INFINITY;
  const below = breakpoints[breakpointIndex + 1] ?? Number.POSITIVE_INFINITY;
  if (!(Number.isFinite(place) && place > above && place < below)) {
    const range = [
      ...(breakpointIndex > 0 ? [`above ${above}`] : []),
      ...(breakpointIndex < breakpoints.length - 1 ? [`below ${below}`] : []),
    ].join(' and ');
    const name = `axis '${axis.title}', break point ${breakpointIndex + 1}`;
    throw refusal(spec, `${name}: found ${place}, expected a number ${range} ${axis.unit}.`.replaceAll('  ', ' '));
  }
  const axes = table.axes.map((old, i) => (i === axisIndex ? old.with(breakpointIndex, place) : old));
  return resampleTable(spec, table, axes);
}

function refusal(spec: TableSpec, what: string): CalibrationError {
  return new CalibrationError('badEdit', `Table '${spec.id}' ${what}`);
}

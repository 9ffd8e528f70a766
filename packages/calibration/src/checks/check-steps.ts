import type { TableContent } from '../document/content.js';
import type { TableSpec } from '../layout/layout.js';
import { resampleValues } from '../tables/resample.js';
import { sameAxes } from '../tables/same-axes.js';
import { type CheckedValues, valueFinding } from './cell-finding.js';
import { type Finding, shown } from './finding.js';

/** A step may exceed its bound by this share of the values, so that decimal fractions that meet it exactly pass. */
const STEP_ROUNDING = 1e-9;

/**
 * Findings about cells that moved further from the parent revision than the table's `stepBound` lets them. Where break
 * points moved, the parent's table is read off at the new ones. A percentage is of the parent's value and bounds nothing
 * where that is 0. A variant that the parent does not have is not compared.
 */
export function checkSteps(checked: CheckedValues, parent: TableContent): Finding[] {
  const { spec, axes, variant, values } = checked;
  const { stepBound } = spec;
  if (!stepBound || parent.axes.length !== axes.length || !Object.hasOwn(parent.values, variant)) return [];
  const own = parent.values[variant];
  const before = sameAxes(parent.axes, axes) ? own : resampleValues(parent.axes, own, axes);
  return values.flatMap((value, index) => {
    const allowed = largestStep(stepBound, before[index]);
    const rounding = STEP_ROUNDING * Math.max(Math.abs(value), Math.abs(before[index]));
    if (!(Math.abs(value - before[index]) > allowed + rounding)) return [];
    const bound = before[index] + Math.sign(value - before[index]) * allowed;
    const direction = value > before[index] ? 'at most' : 'at least';
    const message =
      `found ${value}, expected ${direction} ${shown(bound)} ${spec.unit} after ${shown(before[index])} in the parent revision ` +
      `(a step of ${boundWords(spec)}). Go there by more than one revision.`;
    return [valueFinding(checked, index, 'stepTooLarge', { bound, message })];
  });
}

function largestStep(stepBound: NonNullable<TableSpec['stepBound']>, before: number): number {
  const { absolute, percent } = stepBound;
  const byPercent =
    percent === undefined || before === 0 ? Number.POSITIVE_INFINITY : (percent / 100) * Math.abs(before);
  return Math.min(absolute ?? Number.POSITIVE_INFINITY, byPercent);
}

function boundWords(spec: TableSpec): string {
  const { absolute, percent } = spec.stepBound ?? {};
  return [
    ...(absolute === undefined ? [] : [`${absolute} ${spec.unit}`.trimEnd()]),
    ...(percent === undefined ? [] : [`${percent} %`]),
  ].join(' or ');
}

import { cellCount } from '../document/default-content.js';
import { reachableCurrentA } from '../layout/coil.js';
import type { TableSpec } from '../layout/layout.js';
import { rawOf, STORAGE_RANGES, storableRange, storageLoss, valueOf } from '../layout/storage.js';
import { type CheckedValues, cellFinding, valueFinding } from './cell-finding.js';
import { type Finding, shown } from './finding.js';

/** A slope or current may exceed its bound by this share, so that decimal fractions that meet it exactly pass. */
const ROUNDING = 1e-9;

/**
 * Findings about the values of one variant: numbers, limits, storage, reach of the coil, required course and slope
 * between neighbours.
 */
export function checkValues(checked: CheckedValues): Finding[] {
  const findings: Finding[] = [];
  for (let index = 0; index < checked.values.length; index++) checkCell(checked, index, findings);
  for (const rule of checked.spec.monotone) {
    forNeighbours(checked.axes, rule.axis, (before, after) => {
      if (breaksCourse(checked, rule, before, after)) findings.push(courseFinding(checked, rule, before, after));
    });
  }
  for (const limit of checked.spec.slopeLimits) {
    forNeighbours(checked.axes, limit.axis, (before, after, distance) => {
      const slope = Math.abs(checked.values[after] - checked.values[before]) / distance;
      if (slope > limit.maxPerUnit * (1 + ROUNDING)) {
        findings.push(slopeFinding(checked, limit, { before, after, slope }));
      }
    });
  }
  return [...findings, ...checkReach(checked), ...checkStorageLoss(checked)];
}

function checkCell(checked: CheckedValues, index: number, findings: Finding[]): void {
  const { spec, values } = checked;
  const { limits, storage, unit } = spec;
  const value = values[index];
  if (!Number.isFinite(value)) {
    const message = `found ${value}, expected a number. Type a value.`;
    findings.push(cellFinding(checked, index, 'notANumber', { bound: null, message }));
    return;
  }
  if (value < limits.min) {
    const message = `found ${value}, expected at least ${limits.min} ${unit}. Raise the value.`;
    findings.push(valueFinding(checked, index, 'belowMinimum', { bound: limits.min, message }));
  }
  if (value > limits.max) {
    const message = `found ${value}, expected at most ${limits.max} ${unit}. Lower the value.`;
    findings.push(valueFinding(checked, index, 'aboveMaximum', { bound: limits.max, message }));
  }
  const raw = rawOf(storage, value);
  if (raw < STORAGE_RANGES[storage.type].min || raw > STORAGE_RANGES[storage.type].max) {
    const range = storableRange(storage);
    const bound = value > range.max ? range.max : range.min;
    const message = `found ${value}, but ${storage.type} storage holds ${range.min} to ${range.max} ${unit}. Choose a value within.`;
    findings.push(cellFinding(checked, index, 'notStorable', { bound, message }));
  }
}

function breaksCourse(
  { values }: CheckedValues,
  rule: TableSpec['monotone'][number],
  before: number,
  after: number,
): boolean {
  const step = (values[after] - values[before]) * (rule.direction === 'rising' ? 1 : -1);
  return rule.strict ? step <= 0 : step < 0;
}

function courseFinding(
  checked: CheckedValues,
  rule: TableSpec['monotone'][number],
  before: number,
  after: number,
): Finding {
  const { spec, values } = checked;
  const relation = `${rule.strict ? '' : 'equal or '}${rule.direction === 'rising' ? 'more' : 'less'} than`;
  const message =
    `found ${values[after]}, expected ${relation} ${values[before]} ${spec.unit}, its neighbour before. ` +
    `The table must be ${rule.direction} along ${spec.axes[rule.axis].title}; change one of the two.`;
  return valueFinding(checked, after, 'notMonotone', { bound: values[before], message });
}

function slopeFinding(
  checked: CheckedValues,
  limit: TableSpec['slopeLimits'][number],
  { before, after, slope }: { before: number; after: number; slope: number },
): Finding {
  const { spec, values } = checked;
  const axis = spec.axes[limit.axis];
  const per = `${spec.unit} per ${axis.unit}`;
  const message =
    `found a step of ${slope} ${per} from its neighbour before (${values[before]} to ${values[after]}), ` +
    `expected at most ${limit.maxPerUnit} ${per} along ${axis.title}. Bring the two closer.`;
  return valueFinding(checked, after, 'tooSteep', { bound: limit.maxPerUnit, found: slope, message });
}

function checkReach(checked: CheckedValues): Finding[] {
  const { coil } = checked.spec;
  if (!coil) return [];
  const bound = reachableCurrentA(coil);
  return checked.values.flatMap((value, index) => {
    if (!(value > bound * (1 + ROUNDING))) return [];
    const message =
      `found ${value}, but at ${coil.lowestVoltageV} V and ${coil.highestTemperatureC} °C the coil carries at most ` +
      `${shown(bound)} A. Lower the current.`;
    return [valueFinding(checked, index, 'notReachable', { bound, message })];
  });
}

// One finding for the worst cell: values between storage steps tend to come by the hundred.
function checkStorageLoss(checked: CheckedValues): Finding[] {
  const { spec, values } = checked;
  const losses = values.map((value) => storageLoss(spec.storage, value));
  const lossy = losses.filter((loss) => loss > 0).length;
  if (lossy === 0) return [];
  const worst = losses.reduce((best, loss, index) => (loss > losses[best] ? index : best), 0);
  const kept = valueOf(spec.storage, rawOf(spec.storage, values[worst]));
  const message =
    `found ${values[worst]}, kept as ${kept} ${spec.unit} in steps of ${spec.storage.resolution}; ` +
    `${lossy} of ${values.length} cells lie between steps, this one by most. Round to a step if it matters.`;
  return [valueFinding(checked, worst, 'storageLoss', { bound: kept, message })];
}

/** Visits each pair of neighbours along an axis: their positions, and the distance between their break points. */
function forNeighbours(
  axes: readonly (readonly number[])[],
  axis: number,
  visit: (before: number, after: number, distance: number) => void,
): void {
  const stride = axis === axes.length - 1 ? 1 : axes[1].length;
  const cells = cellCount(axes);
  const breakpoints = axes[axis];
  for (let after = stride; after < cells; after++) {
    const step = Math.floor(after / stride) % breakpoints.length;
    if (step > 0) visit(after - stride, after, breakpoints[step] - breakpoints[step - 1]);
  }
}

import { cellName, cellOf } from './cell.js';
import { type Finding, type FindingCode, finding, plain } from './finding.js';
import type { TableSpec } from './layout.js';
import { rawOf, STORAGE_RANGES, storableRange, storageLoss, valueOf } from './storage.js';

/** One variant's values on axes that are known to fit the layout. */
export interface CheckedValues {
  readonly spec: TableSpec;
  readonly axes: readonly (readonly number[])[];
  readonly variant: string;
  readonly values: readonly number[];
}

/** A slope may exceed its bound by this share, so that decimal fractions that meet it exactly pass. */
const SLOPE_ROUNDING = 1e-9;

/** Findings about the values of one variant: numbers, limits, storage, required course and slope between neighbours. */
export function checkValues(checked: CheckedValues): Finding[] {
  const findings = checked.values.flatMap((_, index) => checkCell(checked, index));
  for (const rule of checked.spec.monotone) {
    for (const [before, after] of neighbours(checked.axes, rule.axis)) {
      findings.push(...checkCourse(checked, rule, before, after));
    }
  }
  for (const limit of checked.spec.slopeLimits) {
    for (const [before, after, distance] of neighbours(checked.axes, limit.axis)) {
      findings.push(...checkSlope(checked, limit, { before, after, distance }));
    }
  }
  return [...findings, ...checkStorageLoss(checked)];
}

function checkCell(checked: CheckedValues, index: number): Finding[] {
  const { spec, values } = checked;
  const { limits, storage, unit } = spec;
  const value = values[index];
  if (!Number.isFinite(value)) {
    return [at(checked, index, 'notANumber', null, `found ${value}, expected a number. Type a value.`)];
  }
  const findings: Finding[] = [];
  if (value < limits.min) {
    const message = `found ${value}, expected at least ${limits.min} ${unit}. Raise the value.`;
    findings.push(at(checked, index, 'belowMinimum', limits.min, message));
  }
  if (value > limits.max) {
    const message = `found ${value}, expected at most ${limits.max} ${unit}. Lower the value.`;
    findings.push(at(checked, index, 'aboveMaximum', limits.max, message));
  }
  const raw = rawOf(storage, value);
  if (raw < STORAGE_RANGES[storage.type].min || raw > STORAGE_RANGES[storage.type].max) {
    const range = storableRange(storage);
    const bound = value > range.max ? range.max : range.min;
    const message = `found ${value}, but ${storage.type} storage holds ${range.min} to ${range.max} ${unit}. Choose a value within.`;
    findings.push(at(checked, index, 'notStorable', bound, message));
  }
  return findings;
}

function checkCourse(
  checked: CheckedValues,
  rule: TableSpec['monotone'][number],
  before: number,
  after: number,
): Finding[] {
  const { spec, values } = checked;
  const step = (values[after] - values[before]) * (rule.direction === 'rising' ? 1 : -1);
  if (rule.strict ? !(step <= 0) : !(step < 0)) return [];
  const relation = `${rule.strict ? '' : 'equal or '}${rule.direction === 'rising' ? 'more' : 'less'} than`;
  const message =
    `found ${values[after]}, expected ${relation} ${values[before]} ${spec.unit}, its neighbour before. ` +
    `The table must be ${rule.direction} along ${spec.axes[rule.axis].title}; change one of the two.`;
  return [at(checked, after, 'notMonotone', values[before], message)];
}

function checkSlope(
  checked: CheckedValues,
  limit: TableSpec['slopeLimits'][number],
  pair: { before: number; after: number; distance: number },
): Finding[] {
  const { spec, values } = checked;
  const slope = Math.abs(values[pair.after] - values[pair.before]) / pair.distance;
  if (!(slope > limit.maxPerUnit * (1 + SLOPE_ROUNDING))) return [];
  const axis = spec.axes[limit.axis];
  const per = `${spec.unit} per ${axis.unit}`;
  const message =
    `found a step of ${slope} ${per} from its neighbour before (${values[pair.before]} to ${values[pair.after]}), ` +
    `expected at most ${limit.maxPerUnit} ${per} along ${axis.title}. Bring the two closer.`;
  return [{ ...at(checked, pair.after, 'tooSteep', limit.maxPerUnit, message), found: slope }];
}

// One warning for the worst cell: values between storage steps tend to come by the hundred.
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
  return [{ ...at(checked, worst, 'storageLoss', kept, message), severity: 'warning' }];
}

function at(checked: CheckedValues, index: number, code: FindingCode, bound: number | null, message: string): Finding {
  const { spec, axes, variant, values } = checked;
  return finding({
    code,
    tableId: spec.id,
    variant,
    cell: cellOf(axes, index),
    found: plain(values[index]),
    bound,
    message: `Table '${spec.id}', ${variant}, ${cellName(spec, axes, index)}: ${message}`,
  });
}

/** Positions of each pair of neighbours along an axis, with the distance between their break points. */
function* neighbours(axes: readonly (readonly number[])[], axis: number): Generator<[number, number, number]> {
  const stride = axis === axes.length - 1 ? 1 : axes[1].length;
  const cells = axes.reduce((count, breakpoints) => count * breakpoints.length, 1);
  const length = axes[axis].length;
  for (let after = 0; after < cells; after++) {
    const step = Math.floor(after / stride) % length;
    if (step > 0) yield [after - stride, after, axes[axis][step] - axes[axis][step - 1]];
  }
}

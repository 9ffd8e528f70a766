import type { TableContent } from '../document/content.js';
import type { AxisSpec, Layout, TableSpec } from '../layout/layout.js';
import { rawOf, STORAGE_RANGES, storableRange, storageLoss, valueOf } from '../layout/storage.js';
import { type Finding, finding } from './finding.js';

/**
 * Findings about break points that the memory image cannot keep: out of the range of their storage, or rounded onto the
 * one before, which would leave the control unit with an axis that does not rise; and one warning per axis with
 * break points between storage steps.
 */
export function checkStoredAxes(layout: Layout, spec: TableSpec, table: TableContent): Finding[] {
  const stored = layout.image?.axes.filter((entry) => entry.tableId === spec.id) ?? [];
  return stored.flatMap(({ axis, storage }) => {
    const checked = { spec, axis: spec.axes[axis], storage, breakpoints: table.axes[axis] };
    return [...checkRange(checked), ...checkLoss(checked)];
  });
}

interface StoredAxis {
  readonly spec: TableSpec;
  readonly axis: AxisSpec;
  readonly storage: TableSpec['storage'];
  readonly breakpoints: readonly number[];
}

function checkRange(checked: StoredAxis): Finding[] {
  const { spec, axis, storage, breakpoints } = checked;
  const range = STORAGE_RANGES[storage.type];
  return breakpoints.flatMap((x, i) => {
    const raw = rawOf(storage, x);
    const part = { code: 'breakpointNotStorable', tableId: spec.id, found: x } as const;
    if (raw < range.min || raw > range.max) {
      const { min, max } = storableRange(storage);
      const message = `${place(checked, i)}, but its ${storage.type} storage holds ${min} to ${max} ${axis.unit}. Choose a place within.`;
      return [finding({ ...part, bound: x > max ? max : min, message })];
    }
    if (i === 0 || raw > rawOf(storage, breakpoints[i - 1])) return [];
    const kept = valueOf(storage, raw);
    const message = `${place(checked, i)}, kept as ${kept} ${axis.unit} in steps of ${storage.resolution} like the one before. Move them a step apart.`;
    return [finding({ ...part, bound: kept, message })];
  });
}

function checkLoss(checked: StoredAxis): Finding[] {
  const { spec, axis, storage, breakpoints } = checked;
  const losses = breakpoints.map((x) => storageLoss(storage, x));
  const worst = losses.reduce((best, loss, i) => (loss > losses[best] ? i : best), 0);
  if (losses[worst] === 0) return [];
  const kept = valueOf(storage, rawOf(storage, breakpoints[worst]));
  const message =
    `${place(checked, worst)}, kept as ${kept} ${axis.unit} in steps of ${storage.resolution}, the largest loss of this ` +
    'axis. Move it to a step if it matters.';
  const part = { tableId: spec.id, found: breakpoints[worst], bound: kept } as const;
  return [finding({ ...part, code: 'breakpointLoss', severity: 'warning', message })];
}

function place({ spec, axis, breakpoints }: StoredAxis, index: number): string {
  return `Table '${spec.id}', axis '${axis.title}', break point ${index + 1}: found ${breakpoints[index]}`;
}

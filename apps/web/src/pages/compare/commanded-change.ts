import type { CommandedMapResponse } from '@syncline/contract';
import { digitsFor } from '../../format/quantity.js';
import { mapAxes } from '../revision/commanded-map.js';
import type { GridDifference } from './difference-grid.js';

/** Other minus base over load and input speed; undefined when the maps do not have the same nodes. */
export function commandedDifference(
  base: CommandedMapResponse,
  other: CommandedMapResponse,
): GridDifference | undefined {
  if (!sameNumbers(base.load, other.load) || !sameNumbers(base.inputSpeed, other.inputSpeed)) return undefined;
  const absolute = other.values.map((value, at) => value - (base.values[at] as number));
  return {
    name: other.title,
    ...mapAxes(other),
    size: { rows: other.load.length, columns: other.inputSpeed.length },
    base: base.values,
    other: other.values,
    absolute,
    percent: absolute.map((change, at) => percentOf(change, base.values[at] as number)),
    unit: other.unit,
    digits: digitsFor(other.unit),
  };
}

/** Share of the base (%); null where the base is 0 and the change is not. */
function percentOf(change: number, base: number): number | null {
  if (change === 0) return 0;
  return base === 0 ? null : (100 * change) / Math.abs(base);
}

function sameNumbers(a: readonly number[], b: readonly number[]): boolean {
  return a.length === b.length && a.every((value, i) => value === b[i]);
}

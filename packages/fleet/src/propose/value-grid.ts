import type { TableSpec } from '@syncline/calibration';

/** The scale that a table's values are worked out on: whole storage steps where the present values are such, else plain. */
export interface ValueGrid {
  /** Whether only whole numbers can be stored. */
  readonly isWhole: boolean;
  readonly toGrid: (value: number) => number;
  readonly toValue: (grid: number) => number;
}

/** Part of a storage step by which decimal fractions may miss it. */
const ROUNDING = 1e-6;

export function valueGrid({ storage }: TableSpec, values: readonly number[]): ValueGrid {
  const stepsOf = (value: number) => (value - storage.offset) / storage.resolution;
  const isOnStep = (value: number) => Math.abs(stepsOf(value) - Math.round(stepsOf(value))) <= ROUNDING;
  if (storage.type === 'f32' || !values.every(isOnStep)) {
    return { isWhole: false, toGrid: (value) => value, toValue: (grid) => grid };
  }
  return {
    isWhole: true,
    toGrid: (value) => (isOnStep(value) ? Math.round(stepsOf(value)) : stepsOf(value)),
    // Binary dust of decimal resolutions must not get into a document that is hashed.
    toValue: (grid) => Number((storage.offset + grid * storage.resolution).toPrecision(12)),
  };
}

import type { OperatingPoint } from './content.js';
import type { TableRepeat, TableSpec } from './layout.js';
import type { Platform } from './platform.js';

/** The variant of a table that exists once. */
const ONLY_VARIANT = 'all';

/** Names of a table's variants on a platform, in the platform's order: `all`, or shift, gear, program or clutch ids. */
export function variantsOf(spec: Pick<TableSpec, 'repeat'>, platform: Platform): string[] {
  switch (spec.repeat) {
    case 'once':
      return [ONLY_VARIANT];
    case 'shift':
      return platform.shifts.map((shift) => shift.id);
    case 'upshift':
      return platform.shifts.filter((shift) => shift.to > shift.from).map((shift) => shift.id);
    case 'downshift':
      return platform.shifts.filter((shift) => shift.to < shift.from).map((shift) => shift.id);
    case 'gear':
      return platform.gears.map((gear) => String(gear.gear));
    case 'program':
      return platform.programs.map((program) => program.id);
    case 'clutch':
      return platform.clutches.map((clutch) => clutch.id);
    default:
      return spec.repeat satisfies never;
  }
}

/** The variant of a table that an operating point asks for, or undefined where the point does not say. */
export function variantAt(repeat: TableRepeat, point: OperatingPoint): string | undefined {
  const part = selectorOf(repeat);
  if (part === null) return ONLY_VARIANT;
  const value = point[part];
  return value === undefined ? undefined : String(value);
}

/** The part of an operating point that picks the variant; null for a table that exists once. */
export function selectorOf(repeat: TableRepeat): 'shift' | 'gear' | 'program' | 'clutch' | null {
  switch (repeat) {
    case 'once':
      return null;
    case 'shift':
    case 'upshift':
    case 'downshift':
      return 'shift';
    default:
      return repeat;
  }
}

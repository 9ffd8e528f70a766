import type { OperatingPoint } from '../document/content.js';
import type { TableRepeat, TableSpec } from './layout.js';
import type { Platform } from './platform.js';

/** The variant of a table that exists once. */
const ONLY_VARIANT = 'all';

/** Parts the program from the rest in `3-4/sport`. No id of a platform holds one. */
const PROGRAM_MARK = '/';

/** What a table's variants depend on. */
export type VariantSpec = Pick<TableSpec, 'repeat' | 'byProgram'>;

/** The parts of an operating point that pick a variant. */
export type VariantSelector = 'shift' | 'gear' | 'program' | 'clutch';

/**
 * Names of a table's variants on a platform, in the platform's order: `all`, or shift, gear, program or clutch ids; each
 * followed by every program (`3-4/sport`) where the table has one more set of values per program.
 */
export function variantsOf(spec: VariantSpec, platform: Platform): string[] {
  const repeats = repeatsOf(spec.repeat, platform);
  if (!spec.byProgram) return repeats;
  return repeats.flatMap((repeat) => platform.programs.map((program) => repeat + PROGRAM_MARK + program.id));
}

/** The variant of a table that an operating point asks for, or the selector that the point leaves open. */
export function variantAt(
  spec: VariantSpec,
  point: OperatingPoint,
): { readonly variant: string } | { readonly missing: VariantSelector } {
  const selectors = selectorsOf(spec);
  const missing = selectors.find((selector) => point[selector] === undefined);
  if (missing) return { missing };
  return { variant: selectors.map((selector) => String(point[selector])).join(PROGRAM_MARK) || ONLY_VARIANT };
}

/** The parts of an operating point that pick a table's variant, in the order in which the variant names them. */
export function selectorsOf(spec: VariantSpec): VariantSelector[] {
  const own = selectorOf(spec.repeat);
  return [...(own ? [own] : []), ...(spec.byProgram ? (['program'] as const) : [])];
}

/**
 * What a variant's name says of the operating point.
 * @example variantParts({ repeat: 'upshift', byProgram: true }, '3-4/sport')   // { shift: '3-4', program: 'sport' }
 */
export function variantParts(spec: VariantSpec, variant: string): Partial<Record<VariantSelector, string>> {
  const ids = variant.split(PROGRAM_MARK);
  return Object.fromEntries(selectorsOf(spec).map((selector, i) => [selector, ids[i]]));
}

/** Words for what a table has one set of values of: `shift`, `upshift and program`. */
export function repeatName(spec: VariantSpec): string {
  return spec.byProgram ? `${spec.repeat} and program` : spec.repeat;
}

function repeatsOf(repeat: TableRepeat, platform: Platform): string[] {
  switch (repeat) {
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
      return repeat satisfies never;
  }
}

function selectorOf(repeat: TableRepeat): VariantSelector | null {
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

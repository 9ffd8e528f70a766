import { selectorsOf } from '@syncline/calibration';
import type { LayoutDocument, PlatformDocument } from '@syncline/contract';
import type { Rule, TableSpec } from './layout-words.js';
import type { OperatingPointSearch } from './revision-search.js';

type Quantity = TableSpec['axes'][number]['quantity'];

/**
 * What the API can be told of an operating point. Engine speed is no part of it: the API takes it as input speed, as
 * with a locked converter.
 */
const ASKED: readonly Quantity[] = ['load', 'inputSpeed', 'fluidTemperature', 'engineSpeed'];
/** Usual temperature of a warm gearbox (°C), as the API has it. */
export const USUAL_FLUID_TEMPERATURE_C = 80;

/** The tables of a rule, in its order. */
function tablesOf(layout: LayoutDocument, rule: Rule): TableSpec[] {
  return rule.tables.flatMap((id) => layout.tables.find((table) => table.id === id) ?? []);
}

function quantitiesOf(layout: LayoutDocument, rule: Rule): Quantity[] {
  return tablesOf(layout, rule).flatMap(({ axes }) => axes.map(({ quantity }) => quantity));
}

/** Rules whose quantity is told by an operating point and varies over load or input speed. */
export function askableRules(layout: LayoutDocument): Rule[] {
  return layout.rules.filter((rule) => {
    const quantities = quantitiesOf(layout, rule);
    const isTold = quantities.every((quantity) => ASKED.includes(quantity));
    const isRepeatedByClutch = tablesOf(layout, rule).some(({ repeat }) => repeat === 'clutch');
    return isTold && !isRepeatedByClutch && (quantities.includes('load') || quantities.includes('inputSpeed'));
  });
}

/** Ends of the axes of a quantity in the tables of a rule, and their middle node; undefined when none has one. */
interface Span {
  readonly low: number;
  readonly high: number;
  readonly middle: number;
}

function spanOf(layout: LayoutDocument, rule: Rule, quantity: Quantity): Span | undefined {
  const axes = tablesOf(layout, rule)
    .flatMap((table) => table.axes)
    .filter((axis) => axis.quantity === quantity);
  const nodes = axes.flatMap(({ breakpoints }) => breakpoints);
  const first = axes[0]?.breakpoints;
  if (first === undefined) return undefined;
  return {
    low: Math.min(...nodes),
    high: Math.max(...nodes),
    middle: first[Math.floor(first.length / 2)] as number,
  };
}

/** An operating point with all defaults filled in, and what may be chosen instead. */
export interface OperatingPoint {
  readonly rule: Rule;
  /** Undefined when no table of the rule is repeated over shifts or gears. */
  readonly shift: string | undefined;
  readonly program: string | undefined;
  readonly fluidTemperature: number;
  readonly load: number;
  readonly inputSpeed: number;
  readonly shifts: readonly string[];
  readonly spans: {
    readonly load: Span | undefined;
    readonly inputSpeed: Span | undefined;
    readonly fluidTemperature: Span | undefined;
  };
  /** Whether a table depends on engine speed, which is then taken as input speed. */
  readonly isAtLockedConverter: boolean;
}

/** The operating point that an address asks for; undefined when the layout has no rule to ask. */
export function operatingPointOf(
  layout: LayoutDocument,
  platform: PlatformDocument,
  search: OperatingPointSearch,
): OperatingPoint | undefined {
  const rules = askableRules(layout);
  const rule = rules.find(({ id }) => id === search.rule) ?? rules[0];
  if (rule === undefined) return undefined;
  const tables = tablesOf(layout, rule);
  const shifts = shiftsOf(
    tables.map(({ repeat }) => repeat),
    platform,
  );
  const isByProgram = tables.some((table) => selectorsOf(table).includes('program'));
  const programs = isByProgram ? platform.programs.map(({ id }) => id) : [];
  const spans = {
    load: spanOf(layout, rule, 'load'),
    inputSpeed: spanOf(layout, rule, 'inputSpeed'),
    fluidTemperature: spanOf(layout, rule, 'fluidTemperature'),
  };
  return {
    rule,
    shift: known(shifts, search.shift),
    program: known(programs, search.program),
    fluidTemperature: search.fluid ?? USUAL_FLUID_TEMPERATURE_C,
    load: search.load ?? spans.load?.middle ?? 0,
    inputSpeed: search.speed ?? spans.inputSpeed?.middle ?? 0,
    shifts,
    spans,
    isAtLockedConverter: quantitiesOf(layout, rule).includes('engineSpeed'),
  };
}

function known(choices: readonly string[], wanted: string | undefined): string | undefined {
  return choices.find((choice) => choice === wanted) ?? choices[0];
}

/** Shifts for which every table of a rule has a variant; none when no table asks for one. */
function shiftsOf(repeats: readonly TableSpec['repeat'][], { shifts }: PlatformDocument): string[] {
  const asks = (...names: TableSpec['repeat'][]) => repeats.some((repeat) => names.includes(repeat));
  if (!asks('shift', 'upshift', 'downshift', 'gear')) return [];
  return shifts
    .filter(({ from, to }) => !(asks('upshift') && to < from) && !(asks('downshift') && to > from))
    .map(({ id }) => id);
}

/** The part of an operating point that a commanded map is asked at. */
export function mapQueryOf({ rule, shift, program, fluidTemperature }: OperatingPoint) {
  return { rule: rule.id, shift, program, fluidTemperature };
}

/** “shift 2-3, program calm, fluid 80 °C”. */
export function conditionWords(point: OperatingPoint, platform: PlatformDocument): string {
  const program = platform.programs.find(({ id }) => id === point.program)?.title.toLowerCase();
  return [
    point.shift && `shift ${point.shift}`,
    program && `program ${program}`,
    point.spans.fluidTemperature && `fluid ${point.fluidTemperature}\u202f°C`,
  ]
    .filter(Boolean)
    .join(', ');
}

import {
  CalibrationError,
  evaluateRule,
  type OperatingPoint,
  type OperatingQuantity,
  type Rule,
  type RuleValue,
  selectorsOf,
  type VariantSelector,
  variantParts,
} from '@syncline/calibration';
import type { LayoutDocument, PlatformDocument, RevisionContentDocument } from '@syncline/contract';
import type { GridPlace } from '../../../charts/grid-place.js';
import { USUAL_FLUID_TEMPERATURE_C } from '../../revision/operating-point.js';
import type { TableView } from '../../revision/table-view.js';
import type { DraftSearch } from '../draft-search.js';

/** Name of each part of an operating point in the address. */
export const POINT_NAMES = {
  load: 'load',
  engineSpeed: 'engine',
  inputSpeed: 'speed',
  outputSpeed: 'output',
  fluidTemperature: 'fluid',
  pedal: 'pedal',
  pressure: 'pressure',
} as const satisfies Record<OperatingQuantity, keyof DraftSearch>;

/** A quantity that a rule depends on, between the outermost break points of its tables. */
export interface PointQuantity {
  readonly quantity: OperatingQuantity;
  readonly title: string;
  readonly unit: string;
  readonly low: number;
  readonly high: number;
  readonly value: number;
}

/** A choice that a rule depends on: shift, gear, program or clutch. */
export interface PointSelector {
  readonly selector: VariantSelector;
  readonly choices: readonly { readonly value: string; readonly label: string }[];
  readonly value: string;
}

/** Where the draft is asked what it commands, with everything that can be moved. */
export interface DraftPoint {
  readonly rule: Rule;
  readonly quantities: readonly PointQuantity[];
  readonly selectors: readonly PointSelector[];
}

interface PointContext {
  readonly layout: LayoutDocument;
  readonly platform: PlatformDocument;
  /** The table that is looked at and its active cell: where nothing else is asked for, the point lies there. */
  readonly view: TableView;
  readonly active: GridPlace;
  readonly asked: DraftSearch;
}

/** The operating point; undefined where the layout has no rule. */
export function draftPointOf(context: PointContext): DraftPoint | undefined {
  const { layout, view, asked } = context;
  const rule =
    layout.rules.find(({ id }) => id === asked.rule) ??
    layout.rules.find(({ tables }) => tables.includes(view.spec.id)) ??
    layout.rules[0];
  if (rule === undefined) return undefined;
  const tables = rule.tables.flatMap((id) => layout.tables.find((table) => table.id === id) ?? []);
  const axes = tables.flatMap((table) => table.axes);
  const selectors = new Set(tables.flatMap(selectorsOf));
  return {
    rule,
    quantities: [...new Set(axes.map(({ quantity }) => quantity))].map((quantity) =>
      quantityOf(
        axes.filter((axis) => axis.quantity === quantity),
        context,
      ),
    ),
    selectors: [...selectors].map((selector) =>
      selectorAt(
        selector,
        tables.map(({ repeat }) => repeat),
        context,
      ),
    ),
  };
}

type Axis = LayoutDocument['tables'][number]['axes'][number];

function quantityOf(axes: readonly Axis[], context: PointContext): PointQuantity {
  const [first] = axes as [Axis, ...Axis[]];
  const { quantity, title, unit } = first;
  const nodes = axes.flatMap(({ breakpoints }) => breakpoints);
  const [low, high] = [Math.min(...nodes), Math.max(...nodes)];
  const value = context.asked[POINT_NAMES[quantity]] ?? atCell(quantity, context) ?? usual(quantity, context);
  const middle = first.breakpoints[Math.floor(first.breakpoints.length / 2)] as number;
  return { quantity, title, unit, low, high, value: Math.min(high, Math.max(low, value ?? middle)) };
}

/** Where the active cell lies along a quantity; undefined where the table that is looked at does not depend on it. */
function atCell(quantity: OperatingQuantity, { view, active }: PointContext): number | undefined {
  const along = view.spec.axes.findIndex((axis) => axis.quantity === quantity);
  if (along === -1) return undefined;
  const isRows = along === 0 && view.spec.axes.length === 2;
  return isRows ? view.rowAxis?.breakpoints[active.row] : view.columnAxis?.breakpoints[active.column];
}

/** Where nobody asks, the fluid is warm and the converter locked: the engine turns with the input shaft. */
function usual(quantity: OperatingQuantity, context: PointContext): number | undefined {
  if (quantity === 'fluidTemperature') return USUAL_FLUID_TEMPERATURE_C;
  if (quantity !== 'engineSpeed') return undefined;
  return context.asked[POINT_NAMES.inputSpeed] ?? atCell('inputSpeed', context);
}

function selectorAt(
  selector: VariantSelector,
  repeats: readonly string[],
  { platform, view, asked }: PointContext,
): PointSelector {
  const choices = choicesOf(selector, repeats, platform);
  const wanted = asked[selector]?.toString() ?? variantParts(view.spec, view.variant)[selector];
  const value = choices.find((choice) => choice.value === wanted)?.value ?? choices[0]?.value ?? '';
  return { selector, choices, value };
}

function choicesOf(
  selector: VariantSelector,
  repeats: readonly string[],
  { shifts, gears, programs, clutches }: PlatformDocument,
): PointSelector['choices'] {
  switch (selector) {
    case 'shift':
      return shifts
        .filter(
          ({ from, to }) =>
            !(repeats.includes('upshift') && to < from) && !(repeats.includes('downshift') && to > from),
        )
        .map(({ id }) => ({ value: id, label: id }));
    case 'gear':
      return gears.map(({ gear }) => ({ value: String(gear), label: `Gear ${gear}` }));
    case 'program':
      return programs.map(({ id, title }) => ({ value: id, label: title }));
    case 'clutch':
      return clutches.map(({ id, title }) => ({ value: id, label: title }));
    default:
      return selector satisfies never;
  }
}

/** The same point with one quantity elsewhere, as while a slider is dragged. */
export function pointMoved(point: DraftPoint, quantity: OperatingQuantity, value: number): DraftPoint {
  return {
    ...point,
    quantities: point.quantities.map((one) => (one.quantity === quantity ? { ...one, value } : one)),
  };
}

type Commanded =
  | { readonly kind: 'value'; readonly found: RuleValue }
  | { readonly kind: 'none'; readonly why: string };

/** What a content commands at the point, with each table's share, or why that cannot be told. */
export function commandedAt(layout: LayoutDocument, content: RevisionContentDocument, point: DraftPoint): Commanded {
  try {
    return { kind: 'value', found: evaluateRule(layout, content, point.rule.id, operatingPointAt(point)) };
  } catch (error) {
    if (error instanceof CalibrationError) return { kind: 'none', why: error.message };
    throw error;
  }
}

function operatingPointAt({ quantities, selectors }: DraftPoint): OperatingPoint {
  const chosen = Object.fromEntries(selectors.map(({ selector, value }) => [selector, value]));
  return {
    ...Object.fromEntries(quantities.map(({ quantity, value }) => [quantity, value])),
    ...chosen,
    ...(chosen['gear'] === undefined ? {} : { gear: Number(chosen['gear']) }),
  };
}

import { clutchExchange } from '@syncline/calibration';
import {
  averageRow,
  countedGain,
  type DesignRow,
  HIGHEST_GAIN,
  type NodeDesign,
  observeAdaptation,
  type ShiftMoments,
  type ShiftObservation,
} from '@syncline/fleet';
import type { Adaptation, LearntValue } from '@syncline/store';
import type { MomentsContext } from './moments-of-shifts.js';

/** ln of what a control unit commands over its tables in a shift, by what it has learnt. */
export function learntFor(
  { values }: Pick<Adaptation, 'values'>,
  design: NodeDesign,
  clutch: string | undefined,
  row: DesignRow,
): number {
  return values.reduce((sum, value) => {
    if ('clutch' in value) return value.clutch === clutch ? sum + lnOf(value) : sum;
    const place = row.nodes.indexOf(nodeOf(design, value));
    return place < 0 ? sum : sum + row.shares[place] * lnOf(value);
  }, 0);
}

/**
 * What a car has learnt as observations of its effect: the value of a clutch for each kind of shift that it comes on in,
 * at the car's average row there; the value of a node at that node alone.
 */
export function observeLearnt(
  { values, worthShifts }: Pick<Adaptation, 'values' | 'worthShifts'>,
  driven: ShiftMoments,
  { platform, design }: MomentsContext,
): ShiftObservation[] {
  return values.flatMap((value) => {
    const learntLn = lnOf(value);
    if (!('clutch' in value)) {
      const row = nodeRow(design, value);
      return row ? [observeAdaptation({ shiftKind: shiftOf(value), learntLn, worthShifts }, row)] : [];
    }
    return platform.shifts
      .filter(({ from, to }) => clutchExchange(platform, from, to).oncoming[0] === value.clutch)
      .flatMap(({ id: shiftKind }) => {
        const row = averageRow(driven, shiftKind);
        return row ? [observeAdaptation({ shiftKind, learntLn, worthShifts }, row)] : [];
      });
  });
}

type NodeValue = Exclude<LearntValue, { readonly clutch: string }>;

function lnOf({ percent }: LearntValue): number {
  return Math.log1p(percent / 100);
}

/** A variant such as `3-4` or `3-4/sport`. */
function shiftOf({ variant }: NodeValue): string {
  return variant.split('/')[0];
}

/** The number of a node in the design; −1 where the design does not depend on it. */
function nodeOf({ spans }: NodeDesign, { tableId, variant, row, column }: NodeValue): number {
  const span = spans.find((entry) => entry.spec.id === tableId && entry.variant === variant);
  return span ? span.start + row * (span.axes[1]?.length ?? 1) + column : -1;
}

function nodeRow(design: NodeDesign, value: NodeValue): DesignRow | null {
  const node = nodeOf(design, value);
  const span = design.spans.find(({ start, values }) => node >= start && node < start + values.length);
  if (!span) return null;
  const pressure = span.values[node - span.start];
  const carrying = pressure - (design.rule.returnPressureKpa ?? 0);
  if (carrying <= 0) return null;
  return { nodes: [node], shares: [1], gain: countedGain(Math.min(HIGHEST_GAIN, pressure / carrying)) };
}

import type { Layout, RevisionContent } from '@syncline/calibration';
import { averageRow, type ShiftMoments, type VehicleTrim } from '@syncline/fleet';

/** ln of pressure by shift kind that a car commands over the map. */
export type CarTrims = ReadonlyMap<string, number>;

export const NO_TRIMS: CarTrims = new Map();

/** A trim is changed at most so far (ln) from one round to the next, as a node of the map is. */
const MOST_LN = Math.log(1.08);

/** What a car is to be trimmed by: its effects in ln torque over its average gain of pressure, from the present ones on. */
export function trimsOf({ byKind }: VehicleTrim, moments: ShiftMoments, present: CarTrims): CarTrims {
  return new Map(
    byKind.map(({ shiftKind, trimLn }) => {
      const before = present.get(shiftKind) ?? 0;
      const wanted = trimLn / (averageRow(moments, shiftKind)?.gain ?? 1);
      return [shiftKind, before + Math.min(MOST_LN, Math.max(-MOST_LN, wanted - before))];
    }),
  );
}

/** The map with a car's trims in its base table, kept within what the layout allows. */
export function trimmedContent(layout: Layout, content: RevisionContent, trims: CarTrims): RevisionContent {
  const base = content.tables.basePressure;
  const limits = layout.tables.find(({ id }) => id === 'basePressure')?.limits ?? { min: 0, max: Number.MAX_VALUE };
  const values = Object.entries(base.values).map(([kind, own]) => {
    const factor = Math.exp(trims.get(kind) ?? 0);
    return [kind, own.map((kpa) => Math.min(limits.max, Math.max(limits.min, factor * kpa)))];
  });
  return { ...content, tables: { ...content.tables, basePressure: { ...base, values: Object.fromEntries(values) } } };
}

import type { CorrectionEstimate } from './estimate-corrections.js';
import { generalisedEsd } from './generalised-esd.js';
import { responseScales } from './response-scales.js';
import type { ShiftMoments } from './shift-moments.js';

/** A car that is improbable among the others, and in what. Wear, a wrong profile and low fluid are usual causes. */
export type OddCar = { readonly vehicleId: string } & (
  | { readonly what: 'trim'; readonly trimLn: number; readonly sdLn: number }
  | { readonly what: 'kindTrim'; readonly shiftKind: string; readonly trimLn: number; readonly sdLn: number }
  /** Its responses are scaled against the fleet's: torque or inertia of its profile is wrong beyond the usual. */
  | { readonly what: 'responseScale'; readonly scale: number; readonly standardError: number }
);

/** Chance that any car of a clean fleet is named, shared out to the three questions. */
const FALSE_NAME_CHANCE = 0.2;

/**
 * Cars to look at (methods.md 6), in order of vehicle id within each question: the general trim, the trim of one shift
 * kind beside it, and the scale of the responses. Each is held against the other cars by `generalisedEsd`.
 */
export function oddCars(estimate: CorrectionEstimate, vehicles: ReadonlyMap<string, ShiftMoments>): OddCar[] {
  const level = FALSE_NAME_CHANCE / 3;
  return [...oddTrims(estimate, level), ...oddKindTrims(estimate, level), ...oddScales(estimate, vehicles, level)];
}

function oddTrims({ trims }: CorrectionEstimate, level: number): OddCar[] {
  return outliers(trims, ({ surprise }) => surprise, level).map(({ vehicleId, trimLn, sdLn }) => ({
    vehicleId,
    what: 'trim',
    trimLn,
    sdLn,
  }));
}

function oddKindTrims({ trims }: CorrectionEstimate, level: number): OddCar[] {
  const all = trims.flatMap(({ vehicleId, byKind }) => byKind.map((trim) => ({ vehicleId, ...trim })));
  const kinds = [...new Set(all.map(({ shiftKind }) => shiftKind))].sort();
  return kinds.flatMap((kind) => {
    const own = all.filter(({ shiftKind }) => shiftKind === kind);
    return outliers(own, ({ surprise }) => surprise, level / kinds.length).map(
      ({ vehicleId, shiftKind, trimLn, sdLn }): OddCar => ({ vehicleId, what: 'kindTrim', shiftKind, trimLn, sdLn }),
    );
  });
}

function oddScales(estimate: CorrectionEstimate, vehicles: ReadonlyMap<string, ShiftMoments>, level: number): OddCar[] {
  const scales = responseScales(estimate, vehicles);
  const spread = spreadOf(scales);
  return outliers(scales, ({ scale, standardError }) => scale / Math.hypot(spread, standardError), level).map(
    (found) => ({ what: 'responseScale', ...found }),
  );
}

/** Standard deviation of true scales between cars: what their errors leave unexplained. */
function spreadOf(scales: readonly { readonly scale: number; readonly standardError: number }[]): number {
  const mean = scales.reduce((sum, { scale }) => sum + scale, 0) / scales.length;
  const excess = scales.reduce((sum, { scale, standardError }) => sum + (scale - mean) ** 2 - standardError ** 2, 0);
  return Math.sqrt(Math.max(0, excess / scales.length));
}

function outliers<T>(items: readonly T[], valueOf: (item: T) => number, level: number): T[] {
  return generalisedEsd(items.map(valueOf), level)
    .sort((a, b) => a - b)
    .map((place) => items[place]);
}

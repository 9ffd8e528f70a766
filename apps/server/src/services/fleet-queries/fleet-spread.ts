import type { Spread, SpreadMeasure } from '@syncline/contract';
import {
  cellOfCoveragePart,
  cellOfMatrixPart,
  DEFAULT_EVIDENCE,
  type Distribution,
  distributions,
  KIND_LIMIT,
  sketchQuantile,
} from '@syncline/fleet';
import type { FleetFilter, Reads } from '@syncline/store';

export interface FleetSpread {
  readonly rows: {
    readonly kind: string;
    readonly total: Spread;
    readonly cells: { readonly loadBand: number; readonly spread: Spread }[];
  }[];
  readonly total: Spread;
}

export type SpreadQuery = Omit<FleetFilter, 'program'> & { readonly measure: SpreadMeasure };

/** The group of all places, those of one kind, and those of one kind and load band. */
const ALL = 0;
const groupOfKind = (kind: number) => 1 + kind;
const groupOfCell = (part: number) => 1 + KIND_LIMIT + part;
/** Bits of a `coveragePart` below its `matrixPart`. */
const TEMPERATURE_BITS = 4;

/** How a measured quantity is spread, by shift kind and load band; rows in the order in which kinds were first seen. */
export function fleetSpread(read: Reads, { measure, ...filter }: SpreadQuery): FleetSpread {
  const { names, slices } = read.fleet.measures(filter);
  const groupsOf = (place: number) => {
    const { kind, temperatureBand } = cellOfCoveragePart(place);
    if (filter.fluidTemperatureBand !== undefined && temperatureBand !== filter.fluidTemperatureBand) return [];
    return [ALL, groupOfKind(kind), groupOfCell(place >>> TEMPERATURE_BITS)];
  };
  const found = distributions(slices(), { measure, groupsOf });
  const parts = [...found.keys()].filter((group) => group > KIND_LIMIT).sort((a, b) => a - b);
  const cells = parts.map((group) => ({
    ...cellOfMatrixPart(group - groupOfCell(0)),
    spread: toSpread(found.get(group)),
  }));
  return {
    rows: [...new Set(cells.map(({ kind }) => kind))].map((kind) => ({
      kind: names.kinds[kind],
      total: toSpread(found.get(groupOfKind(kind))),
      cells: cells.filter((cell) => cell.kind === kind).map(({ loadBand, spread }) => ({ loadBand, spread })),
    })),
    total: toSpread(found.get(ALL)),
  };
}

function toSpread(found: Distribution | undefined): Spread {
  const { minShifts, minVehicles } = DEFAULT_EVIDENCE;
  const [shifts, vehicles] = [found?.count ?? 0, found?.vehicles ?? 0];
  if (!found || shifts < minShifts || vehicles < minVehicles) {
    return { kind: 'insufficient', shifts, vehicles, neededShifts: minShifts, neededVehicles: minVehicles };
  }
  const at = (share: number) => sketchQuantile(found.sketch, share);
  const quantiles = { p05: at(0.05), p25: at(0.25), p50: at(0.5), p75: at(0.75), p95: at(0.95) };
  return { kind: 'estimate', shifts, vehicles, mean: found.mean, ...quantiles };
}

import type { OutcomeMeasure, Rate } from '@syncline/contract';
import {
  type CountColumns,
  cellOfCoveragePart,
  cellOfMatrixPart,
  coveragePart,
  DEFAULT_FLEET_BANDS,
  drivenParts,
  matrixCounts,
  matrixPart,
  sumCells,
  UNKNOWN_BAND,
} from '@syncline/fleet';
import type { FleetFilter, FleetSlices, Reads } from '@syncline/store';
import { columnsRate, groupBy, shareOf } from '../rates.js';

/** Rates by shift kind and load; kinds in the order in which they were first seen. */
export interface FleetMatrix {
  readonly rows: { kind: string; total: Rate; cells: { loadBand: number; rate: Rate }[] }[];
  readonly total: Rate;
}

export interface TemperaturePanel extends FleetMatrix {
  readonly fluidTemperatureBand: number;
  readonly shifts: number;
}

export type MatrixQuery = FleetFilter & { readonly measure: OutcomeMeasure };

export function fleetMatrix(read: Reads, { measure, ...filter }: MatrixQuery): FleetMatrix {
  return matrixOf(placesOf(read.fleet.slices(filter), measure, matrixPart));
}

/** The matrix of every fluid temperature band; that of drives that did not log it only where there are some. */
export function fleetMatrices(read: Reads, { measure, ...filter }: MatrixQuery): TemperaturePanel[] {
  const found = read.fleet.slices(filter);
  const places = placesOf(found, measure, coveragePart);
  const shifts = new Map<number, number>();
  for (const { part, shifts: driven } of drivenParts(found.slices, found.cells)) {
    const { temperatureBand } = cellOfCoveragePart(part);
    shifts.set(temperatureBand, (shifts.get(temperatureBand) ?? 0) + driven);
  }
  const known = DEFAULT_FLEET_BANDS.temperature.edges.map((_, band) => band);
  const bands = [...known, known.length, ...(shifts.has(UNKNOWN_BAND) ? [UNKNOWN_BAND] : [])];
  return bands.map((band) => ({
    fluidTemperatureBand: band,
    shifts: shifts.get(band) ?? 0,
    ...matrixOf(places.filter(({ temperatureBand }) => temperatureBand === band)),
  }));
}

/** Events and trials of each car at one kind, load band and temperature band. */
interface PlaceCounts {
  readonly kind: string;
  readonly loadBand: number;
  readonly temperatureBand: number;
  readonly columns: CountColumns;
}

/** By `coveragePart`, or by `matrixPart` where temperatures need not be told apart. */
function placesOf(
  { slices, cells, names }: FleetSlices,
  measure: OutcomeMeasure,
  partOf: typeof coveragePart | typeof matrixPart,
): PlaceCounts[] {
  const { parts, cells: columns } = matrixCounts(slices, shareOf(measure), cells, partOf);
  return parts.map((part, i) => {
    const { kind, ...bands } =
      partOf === coveragePart ? cellOfCoveragePart(part) : { ...cellOfMatrixPart(part), temperatureBand: UNKNOWN_BAND };
    return { kind: names.kinds[kind], ...bands, columns: columns[i] };
  });
}

function matrixOf(places: readonly PlaceCounts[]): FleetMatrix {
  const rows = [...groupBy(places, ({ kind }) => kind)].map(([kind, ofKind]) => ({
    kind,
    total: rateOver(ofKind),
    cells: [...groupBy(ofKind, ({ loadBand }) => String(loadBand))]
      .map(([band, cell]) => ({ loadBand: Number(band), rate: rateOver(cell) }))
      .sort((a, b) => a.loadBand - b.loadBand),
  }));
  return { rows, total: rateOver(places) };
}

function rateOver(places: readonly PlaceCounts[]): Rate {
  return columnsRate(sumCells(places.map(({ columns }) => columns)));
}

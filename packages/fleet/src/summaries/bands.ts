import type { OperatingConditions } from '@syncline/shifts';

/** A quantity cut into bands at `edges` (strictly increasing): n edges make n + 1 bands, the outer two open. */
export interface Banding {
  readonly title: string;
  readonly unit: string;
  readonly edges: readonly number[];
}

/** The bands that fleet summaries are kept in: load (%), output-shaft speed (rpm), fluid temperature (°C). */
export interface FleetBands {
  readonly load: Banding;
  readonly speed: Banding;
  readonly temperature: Banding;
}

export const DEFAULT_FLEET_BANDS: FleetBands = {
  load: { title: 'load', unit: '%', edges: [15, 30, 45, 60, 75] },
  speed: { title: 'output speed', unit: 'rpm', edges: [500, 1000, 1500, 2000, 2500] },
  temperature: { title: 'fluid temperature', unit: '°C', edges: [20, 50, 80, 100] },
};

/** The band of a value that was not logged. */
export const UNKNOWN_BAND = -1;

/**
 * Index of the band that holds `value`: the number of edges at or below it, so that a value on an edge belongs to
 * the band above. `UNKNOWN_BAND` for null and NaN.
 * @example bandIndex([20, 50], 20) // 1
 */
export function bandIndex(edges: readonly number[], value: number | null): number {
  if (value === null || Number.isNaN(value)) return UNKNOWN_BAND;
  let index = 0;
  while (index < edges.length && value >= edges[index]) index += 1;
  return index;
}

/** Half-open limits [low, high) of a band; the outer ones are infinite. */
export function bandLimits(edges: readonly number[], index: number): { readonly low: number; readonly high: number } {
  return { low: edges[index - 1] ?? Number.NEGATIVE_INFINITY, high: edges[index] ?? Number.POSITIVE_INFINITY };
}

/** @example bandLabels({ title: 'load', unit: '%', edges: [15, 30] }) // ['below 15 %', '15–30 %', '30 % and above'] */
export function bandLabels(banding: Banding): string[] {
  return Array.from({ length: banding.edges.length + 1 }, (_, index) => bandLabel(banding, index));
}

/** Words for one band; `not logged` for `UNKNOWN_BAND`. */
export function bandLabel({ edges, unit }: Banding, index: number): string {
  if (index === UNKNOWN_BAND) return 'not logged';
  if (edges.length === 0) return 'any';
  if (index === 0) return `below ${edges[0]} ${unit}`;
  if (index === edges.length) return `${edges[index - 1]} ${unit} and above`;
  return `${edges[index - 1]}–${edges[index]} ${unit}`;
}

/** The bands a shift was driven in. */
export interface BandIndices {
  readonly load: number;
  readonly speed: number;
  readonly temperature: number;
}

/** Bands of a shift from its conditions at the command. Quantities not logged give `UNKNOWN_BAND`. */
export function bandsOf(
  at: Pick<OperatingConditions, 'load' | 'outputSpeedRpm' | 'fluidTemperatureC'>,
  bands: FleetBands,
): BandIndices {
  return {
    load: bandIndex(bands.load.edges, at.load),
    speed: bandIndex(bands.speed.edges, at.outputSpeedRpm),
    temperature: bandIndex(bands.temperature.edges, at.fluidTemperatureC),
  };
}

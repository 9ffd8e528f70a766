import { UNKNOWN_BAND } from '../summaries/bands.js';

/** Where a shift was driven, in whole numbers. Bands may be `UNKNOWN_BAND`; program 0 was not logged. */
export interface Cell {
  /** Number of the shift kind, as whoever keeps the slices numbers them. */
  readonly kind: number;
  readonly loadBand: number;
  readonly temperatureBand: number;
  readonly program: number;
  readonly speedBand: number;
}

/**
 * Bits of a key, highest first: kind 8, load 4, temperature 4, program 8, speed 4. Speed lies lowest so that the cells
 * of one stratum (all but speed) are neighbours in a sorted slice, and load after the kind so that those of one matrix
 * cell are. Part of the data on disk.
 */
const SPEED_BITS = 4;
const PROGRAM_BITS = 8;
const BAND_BITS = 4;
const KIND_BITS = 8;
const PROGRAM_SHIFT = SPEED_BITS;
const TEMPERATURE_SHIFT = PROGRAM_SHIFT + PROGRAM_BITS;
const LOAD_SHIFT = TEMPERATURE_SHIFT + BAND_BITS;
const KIND_SHIFT = LOAD_SHIFT + BAND_BITS;

const NIBBLE = 0xf;
/** Kinds of shifts that can be told apart: more than twelve speeds have between them. */
export const MAX_KIND = 2 ** KIND_BITS - 1;
/** Programs that can be told apart; 0 is none. */
export const MAX_PROGRAM = 2 ** PROGRAM_BITS - 1;

/** A cell as one whole number below 2^28. Throws RangeError for what has no room: bands to 14, 256 kinds, 255 programs. */
export function cellKey({ kind, loadBand, temperatureBand, program, speedBand }: Cell): number {
  const load = loadBand - UNKNOWN_BAND;
  const temperature = temperatureBand - UNKNOWN_BAND;
  const speed = speedBand - UNKNOWN_BAND;
  if (!fits(kind, MAX_KIND) || !fits(program, MAX_PROGRAM) || ![load, temperature, speed].every(isBand)) {
    throw new RangeError(
      `No summary cell for shift kind ${kind}, load band ${loadBand}, temperature band ${temperatureBand}, ` +
        `speed band ${speedBand}, program ${program}.`,
    );
  }
  return (
    (kind << KIND_SHIFT) |
    (load << LOAD_SHIFT) |
    (temperature << TEMPERATURE_SHIFT) |
    (program << PROGRAM_SHIFT) |
    speed
  );
}

const fits = (part: number, max: number) => part >= 0 && part <= max;
const isBand = (part: number) => fits(part, NIBBLE);

/** The cell that a key stands for. */
export function cellOfKey(key: number): Cell {
  return {
    kind: kindPart(key),
    loadBand: loadBandOf(key),
    temperatureBand: ((key >>> TEMPERATURE_SHIFT) & NIBBLE) + UNKNOWN_BAND,
    program: programPart(key),
    speedBand: (key & NIBBLE) + UNKNOWN_BAND,
  };
}

/** The part of a key that names shift kind and load band, as `matrixCell` orders it. */
export function matrixPart(key: number): number {
  return key >>> LOAD_SHIFT;
}

/** The key with 0 for its speed band: one for each stratum. */
export function withoutSpeedBand(key: number): number {
  return (key >>> SPEED_BITS) << SPEED_BITS;
}

/** The key with 0 for all its bands: one for each shift kind and program. */
export function kindAndProgram(key: number): number {
  return key & KIND_AND_PROGRAM;
}
const KIND_AND_PROGRAM = (MAX_KIND << KIND_SHIFT) | (MAX_PROGRAM << PROGRAM_SHIFT);

/** The part of a key that names the stratum: all but the speed band. */
export function stratumPart(key: number): number {
  return key >>> SPEED_BITS;
}

/** Shift kind and load band of a `matrixPart`. */
export function cellOfMatrixPart(part: number): Pick<Cell, 'kind' | 'loadBand'> {
  const key = part << LOAD_SHIFT;
  return { kind: kindPart(key), loadBand: loadBandOf(key) };
}

/** The part that names shift kind, load band and temperature band. */
export function coveragePart(key: number): number {
  return key >>> TEMPERATURE_SHIFT;
}

/** Every `coveragePart` is below. */
export const PLACE_LIMIT = 2 ** (KIND_BITS + 2 * BAND_BITS);

/** Shift kind, load band and temperature band of a `coveragePart`. */
export function cellOfCoveragePart(part: number): Pick<Cell, 'kind' | 'loadBand' | 'temperatureBand'> {
  const { kind, loadBand, temperatureBand } = cellOfKey(part << TEMPERATURE_SHIFT);
  return { kind, loadBand, temperatureBand };
}

/** Number of the shift kind of a cell, below `KIND_LIMIT`. */
export function kindPart(key: number): number {
  return key >>> KIND_SHIFT;
}
export const KIND_LIMIT = MAX_KIND + 1;

function loadBandOf(key: number): number {
  return ((key >>> LOAD_SHIFT) & NIBBLE) + UNKNOWN_BAND;
}

/** Load and temperature band of a cell together, below `BANDS_LIMIT`. */
export function bandsPart(key: number): number {
  return (key >>> TEMPERATURE_SHIFT) & (BANDS_LIMIT - 1);
}
export const BANDS_LIMIT = 2 ** (2 * BAND_BITS);

export function programPart(key: number): number {
  return (key >>> PROGRAM_SHIFT) & MAX_PROGRAM;
}

/** Whether the load of a stratum was logged. A stratum without is like no other. */
export function hasLoad(key: number): boolean {
  return ((key >>> LOAD_SHIFT) & NIBBLE) !== 0;
}

/** Which cells are asked for: `(key & mask) === value`. */
export interface CellFilter {
  readonly mask: number;
  readonly value: number;
}

/** A filter on temperature band and program; what is left out is not filtered. */
export function cellFilter(parts: { readonly temperatureBand?: number; readonly program?: number }): CellFilter {
  let mask = 0;
  let value = 0;
  if (parts.temperatureBand !== undefined) {
    mask |= NIBBLE << TEMPERATURE_SHIFT;
    value |= (parts.temperatureBand - UNKNOWN_BAND) << TEMPERATURE_SHIFT;
  }
  if (parts.program !== undefined) {
    mask |= MAX_PROGRAM << PROGRAM_SHIFT;
    value |= parts.program << PROGRAM_SHIFT;
  }
  return { mask, value };
}

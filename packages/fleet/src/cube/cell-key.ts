import { UNKNOWN_BAND } from '../summaries/bands.js';

/** Where a shift was driven, in whole numbers. Bands may be `UNKNOWN_BAND`; program 0 was not logged. */
export interface Cell {
  readonly fromGear: number;
  readonly toGear: number;
  readonly loadBand: number;
  readonly temperatureBand: number;
  readonly program: number;
  readonly speedBand: number;
}

/**
 * Bits of a key, highest first: from 4, to 4, load 4, temperature 4, program 8, speed 4. Speed lies lowest so that
 * the cells of one stratum (all but speed) are neighbours in a sorted slice, and load after the gears so that those of
 * one matrix cell are.
 */
const SPEED_BITS = 4;
const PROGRAM_BITS = 8;
const BAND_BITS = 4;
const PROGRAM_SHIFT = SPEED_BITS;
const TEMPERATURE_SHIFT = PROGRAM_SHIFT + PROGRAM_BITS;
const LOAD_SHIFT = TEMPERATURE_SHIFT + BAND_BITS;
const TO_SHIFT = LOAD_SHIFT + BAND_BITS;
const FROM_SHIFT = TO_SHIFT + BAND_BITS;

const NIBBLE = 0xf;
/** Programs that can be told apart; 0 is none. */
export const MAX_PROGRAM = 2 ** PROGRAM_BITS - 1;

/** A cell as one whole number below 2^28. Throws RangeError for what has no room: gears and bands to 14, 255 programs. */
export function cellKey({ fromGear, toGear, loadBand, temperatureBand, program, speedBand }: Cell): number {
  const [load, temperature, speed] = [loadBand, temperatureBand, speedBand].map((band) => band - UNKNOWN_BAND);
  const fits = [fromGear, toGear, load, temperature, speed].every((part) => part >= 0 && part <= NIBBLE);
  if (!fits || program < 0 || program > MAX_PROGRAM) {
    throw new RangeError(
      `No summary cell for shift ${fromGear}-${toGear}, load band ${loadBand}, temperature band ${temperatureBand}, ` +
        `speed band ${speedBand}, program ${program}.`,
    );
  }
  return (
    (fromGear << FROM_SHIFT) |
    (toGear << TO_SHIFT) |
    (load << LOAD_SHIFT) |
    (temperature << TEMPERATURE_SHIFT) |
    (program << PROGRAM_SHIFT) |
    speed
  );
}

/** The cell that a key stands for. */
export function cellOfKey(key: number): Cell {
  return {
    fromGear: (key >>> FROM_SHIFT) & NIBBLE,
    toGear: (key >>> TO_SHIFT) & NIBBLE,
    loadBand: ((key >>> LOAD_SHIFT) & NIBBLE) + UNKNOWN_BAND,
    temperatureBand: ((key >>> TEMPERATURE_SHIFT) & NIBBLE) + UNKNOWN_BAND,
    program: (key >>> PROGRAM_SHIFT) & MAX_PROGRAM,
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

/** The part of a key that names the stratum: all but the speed band. */
export function stratumPart(key: number): number {
  return key >>> SPEED_BITS;
}

/** The part that names shift kind, load band and temperature band. */
export function coveragePart(key: number): number {
  return key >>> TEMPERATURE_SHIFT;
}

/** The shift kind of a cell as `from · 16 + to`, below `KIND_LIMIT`. */
export function kindPart(key: number): number {
  return key >>> TO_SHIFT;
}
export const KIND_LIMIT = 2 ** (2 * BAND_BITS);

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

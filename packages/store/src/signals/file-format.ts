import type { SignalId } from '@syncline/drivelog';

/**
 * A signal file: magic, then packed chunks in the order in which they were filled, then the footer (JSON), its length
 * (u32, little-endian), its CRC-32 (u32) and the magic again. Each column is a list of series: the samples, and for
 * each level of the pyramid the minima and the maxima (of the time: the first). Written once, never changed.
 */
export const MAGIC = Buffer.from('SYNSIG01', 'latin1');
export const TRAILER_BYTES = 8 + MAGIC.length;

export interface Footer {
  readonly sampleCount: number;
  readonly startS: number | null;
  readonly endS: number | null;
  readonly signalIds: readonly SignalId[];
  /** Smallest and largest time of each chunk of samples. */
  readonly timeBounds: readonly (readonly [number, number])[];
  /** Where the chunks of each series lie: offset, length and CRC-32 of each, one after the other. */
  readonly series: Readonly<Record<string, readonly number[]>>;
}

/** Numbers in `Footer.series` for each chunk. */
export const PLACE_FIELDS = 3;

/** Name of a series: `''` for the samples, else which value of a run of `factor` samples. */
export function seriesName(column: SignalId | 'time', part: '' | 'min' | 'max' | 'first', factor = 1): string {
  return part === '' ? column : `${column}.${part}.${factor}`;
}

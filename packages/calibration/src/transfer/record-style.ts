/**
 * Whose way of writing records the output equals byte for byte. Both hold the same bytes, and both readers take either.
 * - `srec_cat`: lines end in LF, records are aligned to 16 addresses.
 * - `objcopy`: lines end in CRLF, records begin at the first address.
 */
export type RecordStyle = 'srec_cat' | 'objcopy';

export interface RecordOptions {
  /** Default `srec_cat`. */
  readonly style?: RecordStyle;
  /** Where a loader would jump to. A calibration has no such place, so it is left out (or 0) by default. */
  readonly executionStart?: number;
}

/** Data bytes of a full record. */
export const RECORD_BYTES = 16;

/** A stretch of an image that goes into one record. */
export interface RecordSlice {
  readonly address: number;
  readonly data: Uint8Array;
}

/** Cuts an image into records; with `srec_cat` the first may be short, so that all others begin at multiples of 16. */
export function* recordSlices(
  image: { readonly startAddress: number; readonly bytes: Uint8Array },
  style: RecordStyle,
  breakAt = Number.POSITIVE_INFINITY,
): Generator<RecordSlice> {
  const { startAddress, bytes } = image;
  for (let i = 0; i < bytes.length; ) {
    const address = startAddress + i;
    const room = style === 'srec_cat' ? RECORD_BYTES - (address % RECORD_BYTES) : RECORD_BYTES;
    const count = Math.min(room, bytes.length - i, breakAt - (address % breakAt));
    yield { address, data: bytes.subarray(i, i + count) };
    i += count;
  }
}

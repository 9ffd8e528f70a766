/** A file that can be read anywhere. A drive log in MDF keeps its description behind its data, so a stream is not enough. */
export interface RandomAccess {
  readonly sizeBytes: number;
  /**
   * Exactly `length` bytes from `offset` on; both lie inside the file. The caller of `read` keeps the bytes, so they
   * must not be overwritten by a later read.
   */
  read(offset: number, length: number): Uint8Array;
}

/** A file that lies in memory. */
export function memoryAccess(bytes: Uint8Array): RandomAccess {
  return { sizeBytes: bytes.length, read: (offset, length) => bytes.subarray(offset, offset + length) };
}

/**
 * Unpacks a zlib stream (RFC 1950) into exactly `outputSize` bytes, and throws when it holds more or is damaged. Given
 * by the caller, since this package is pure; with Node: `(bytes, outputSize) => inflateSync(bytes, { maxOutputLength:
 * outputSize })`.
 */
export type Inflate = (bytes: Uint8Array, outputSize: number) => Uint8Array;

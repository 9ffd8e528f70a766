const IS_LITTLE_ENDIAN = new Uint8Array(Uint32Array.of(1).buffer)[0] === 1;

/** Arrays one after another as bytes, little-endian. Copied at once where the machine's byte order allows. */
export function bytesOf(...arrays: readonly (Uint32Array | Float64Array)[]): Uint8Array {
  const bytes = new Uint8Array(arrays.reduce((sum, { byteLength }) => sum + byteLength, 0));
  let at = 0;
  for (const array of arrays) {
    const part = new Uint8Array(array.buffer, array.byteOffset, array.byteLength);
    bytes.set(IS_LITTLE_ENDIAN ? part : swapped(part, array.BYTES_PER_ELEMENT), at);
    at += part.length;
  }
  return bytes;
}

/** Whole numbers from their little-endian bytes, wherever those lie in memory. A multiple of four. */
export function wordsOf(bytes: Uint8Array): Uint32Array {
  return new Uint32Array((IS_LITTLE_ENDIAN ? new Uint8Array(bytes) : swapped(bytes, 4)).buffer);
}

/** Doubles from their little-endian bytes, wherever those lie in memory. A multiple of eight. */
export function doublesOf(bytes: Uint8Array): Float64Array {
  return new Float64Array((IS_LITTLE_ENDIAN ? new Uint8Array(bytes) : swapped(bytes, 8)).buffer);
}

/** The bytes of each element in the opposite order, in a buffer of their own. */
function swapped(bytes: Uint8Array, size: number): Uint8Array<ArrayBuffer> {
  return Uint8Array.from(bytes, (_, i) => bytes[i - (i % size) + size - 1 - (i % size)]);
}

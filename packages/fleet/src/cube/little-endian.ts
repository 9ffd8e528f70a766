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

/**
 * Whole numbers from their little-endian bytes, wherever those lie in memory. A multiple of four. Not copied where byte
 * order and place allow.
 */
export function wordsOf(bytes: Uint8Array): Uint32Array {
  const { buffer, byteOffset, length } = inOrder(bytes, 4);
  return new Uint32Array(buffer, byteOffset, length / 4);
}

/** Doubles from their little-endian bytes, in the same way. A multiple of eight. */
export function doublesOf(bytes: Uint8Array): Float64Array {
  const { buffer, byteOffset, length } = inOrder(bytes, 8);
  return new Float64Array(buffer, byteOffset, length / 8);
}

/** The bytes in the order of the machine, in a place where elements of this size may lie. */
function inOrder(bytes: Uint8Array, size: number): Uint8Array {
  if (!IS_LITTLE_ENDIAN) return swapped(bytes, size);
  return bytes.byteOffset % size === 0 ? bytes : new Uint8Array(bytes);
}

/** The bytes of each element in the opposite order, in a buffer of their own. */
function swapped(bytes: Uint8Array, size: number): Uint8Array<ArrayBuffer> {
  return Uint8Array.from(bytes, (_, i) => bytes[i - (i % size) + size - 1 - (i % size)]);
}

/** Bytes at the start of a file that `isCompressed` wants to see, when there are so many. */
export const HEAD_BYTES = 64 * 1024;

/** First bytes of compressed formats: gzip (RFC 1952), ZIP (APPNOTE 4.3.7), Zstandard (RFC 8878). */
const MAGICS = [
  [0x1f, 0x8b],
  [0x50, 0x4b, 0x03, 0x04],
  [0x28, 0xb5, 0x2f, 0xfd],
] as const;

export function isGzip(head: Buffer): boolean {
  return MAGICS[0].every((byte, i) => head[i] === byte);
}

/** Whether compressing a file again is not worth the time. ASAM MDF files count when they hold compressed blocks. */
export function isCompressed(head: Buffer): boolean {
  if (MAGICS.some((magic) => magic.every((byte, i) => head[i] === byte))) return true;
  return head.subarray(0, 3).toString('latin1') === 'MDF' && head.includes('##DZ', 0, 'latin1');
}

import { UnpackError } from './unpack-error.js';

/**
 * How many times its size a file may unpack to, once so much has come out of it (bytes). The log of a standing car packs
 * 8 times as CSV and 57 times as MDF whose channels never move (measured); what is made to swell 400 to 1032 times, where
 * deflate ends (RFC 1951).
 */
const MAX_RATIO = 200;
const RATIO_FROM_BYTES = 16 * 1024 * 1024;

/** Passes bytes on until they are more than allowed, or more than any drive log packs into so little. */
export async function* boundBytes(
  bytes: AsyncIterable<Uint8Array>,
  { maxBytes, packedBytes }: { readonly maxBytes: number; readonly packedBytes: () => number },
): AsyncGenerator<Uint8Array> {
  let byteCount = 0;
  for await (const chunk of bytes) {
    byteCount += chunk.length;
    if (byteCount > maxBytes) throw new UnpackError('log.tooLarge', `It unpacks to more than ${maxBytes} bytes.`);
    if (byteCount > RATIO_FROM_BYTES && byteCount > MAX_RATIO * packedBytes()) {
      throw new UnpackError(
        'log.unreadable',
        `It unpacks to more than ${MAX_RATIO} times its size; no drive log does.`,
      );
    }
    yield chunk;
  }
}

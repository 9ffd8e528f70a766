import { Readable } from 'node:stream';
import { createGunzip } from 'node:zlib';
import { takeHead } from './take-head.js';

/** A compressed file that cannot be unpacked, or unpacks to more than is allowed. */
export class UnpackError extends Error {
  override readonly name = 'UnpackError';
  readonly code: 'log.unreadable' | 'log.tooLarge';

  constructor(code: UnpackError['code'], message: string, options?: ErrorOptions) {
    super(message, options);
    this.code = code;
  }
}

/** The bytes of a file; one that is gzip by its first bytes is unpacked. Throws `UnpackError`. */
export async function* unpack(
  source: AsyncIterable<Uint8Array>,
  { maxBytes }: { readonly maxBytes: number },
): AsyncGenerator<Uint8Array> {
  const { head, all } = await takeHead(source, 2);
  const isGzip = head[0] === 0x1f && head[1] === 0x8b;
  let byteCount = 0;
  for await (const chunk of isGzip ? gunzip(all) : all) {
    byteCount += chunk.length;
    if (byteCount > maxBytes) throw new UnpackError('log.tooLarge', `It unpacks to more than ${maxBytes} bytes.`);
    yield chunk;
  }
}

async function* gunzip(packed: AsyncIterable<Uint8Array>): AsyncGenerator<Uint8Array> {
  const source = Readable.from(packed, { objectMode: false });
  const unpacker = createGunzip();
  source.on('error', (error) => unpacker.destroy(error)).pipe(unpacker);
  try {
    yield* unpacker;
  } catch (error) {
    if (!isZlibError(error)) throw error;
    throw new UnpackError('log.unreadable', `The gzip data are damaged: ${error.message}.`, { cause: error });
  } finally {
    source.destroy();
  }
}

function isZlibError(error: unknown): error is Error & { readonly code: string } {
  return error instanceof Error && 'code' in error && String(error.code).startsWith('Z_');
}

/** The beginning that is looked at before anything of a file is believed. */
export const HEAD_BYTES = 1 << 18;

/** Bytes with a look at their beginning. */
export interface Headed {
  /** At least as many bytes as were asked for, unless there are fewer. */
  readonly head: Uint8Array;
  /** All the bytes, the head included; to be read once. */
  readonly all: AsyncGenerator<Uint8Array>;
  /** Ends the source, whether or not `all` was begun: a generator that was not begun does nothing when it is ended. */
  readonly end: () => Promise<void>;
}

/** Reads ahead for `byteCount` bytes. */
export async function takeHead(source: AsyncIterable<Uint8Array>, byteCount: number): Promise<Headed> {
  const iterator = source[Symbol.asyncIterator]();
  const chunks: Uint8Array[] = [];
  let length = 0;
  while (length < byteCount) {
    const next = await iterator.next();
    if (next.done) break;
    chunks.push(next.value);
    length += next.value.length;
  }
  const head = Buffer.concat(chunks);
  return { head, all: replay(head, iterator), end: async () => void (await iterator.return?.()) };
}

async function* replay(head: Uint8Array, iterator: AsyncIterator<Uint8Array>): AsyncGenerator<Uint8Array> {
  try {
    if (head.length > 0) yield head;
    for (let next = await iterator.next(); !next.done; next = await iterator.next()) yield next.value;
  } finally {
    await iterator.return?.();
  }
}

import { closeSync, openSync, readSync, writeFileSync } from 'node:fs';
import { deserialize, serialize } from 'node:v8';

/** Things of a pack: whole objects at once, on either side. Of more some outlive the collection of short-lived ones. */
const PACK_SIZE = 64;

/** A file of what a `Packer` was given. */
export interface Packs<T> {
  readonly path: string;
  /** Of each pack, in their order (bytes). */
  readonly sizes: readonly number[];
  /** Nothing has it: it tells the packs of one kind of thing from those of another. */
  readonly of?: T;
}

/** Puts what was found in a drive on the disk, about 1 kB each: a log of days has tens of thousands of shifts. */
export class Packer<T> {
  private readonly path: string;
  private readonly sizes: number[] = [];
  private open: T[] = [];
  /** Most drives fill no pack before they end. */
  private file: number | undefined;

  constructor(path: string) {
    this.path = path;
  }

  add(found: T): void {
    this.open.push(found);
    if (this.open.length === PACK_SIZE) this.pack();
  }

  /** All of them, for `unpacked`. Nothing can be added any more. */
  result(): Packs<T> {
    if (this.open.length > 0) this.pack();
    this.close();
    return { path: this.path, sizes: this.sizes };
  }

  close(): void {
    if (this.file !== undefined) closeSync(this.file);
    this.file = undefined;
  }

  private pack(): void {
    this.file ??= openSync(this.path, 'w', 0o600);
    const bytes = serialize(this.open);
    writeFileSync(this.file, bytes);
    this.sizes.push(bytes.length);
    this.open = [];
  }
}

/** The very things that were packed, in their order. Throws what the file system throws. */
export function* unpacked<T>({ path, sizes }: Packs<T>): Generator<T> {
  if (sizes.length === 0) return;
  const file = openSync(path, 'r');
  try {
    for (const size of sizes) {
      const bytes = Buffer.alloc(size);
      if (readSync(file, bytes) !== size) throw new Error(`${path} ends before what was found does.`);
      yield* deserialize(bytes) as T[];
    }
  } finally {
    closeSync(file);
  }
}

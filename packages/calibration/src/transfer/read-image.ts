import type { RevisionContent } from '../document/content.js';
import type { ImageMap, Layout } from '../layout/layout.js';
import type { Platform } from '../layout/platform.js';
import { rawOf } from '../layout/storage.js';
import { findAxisFault } from '../tables/axis-order.js';
import { CHECKSUM_STORAGE } from './checksums.js';
import { checkChecksums } from './image-checksums.js';
import { fieldBytes, fieldName, getImageMap, type ImageField, imageFields } from './image-fields.js';
import { addressText, type MemoryImage, rangeText } from './memory-image.js';
import { readRaw, STORAGE_BYTES } from './raw-number.js';
import { storedValueReader } from './stored-value.js';
import { ProblemList, type Refused } from './transfer-problem.js';

/** An image that was read from a file; `isPresent` says of each byte, by index, whether the file had it. */
export interface ReadableImage extends MemoryImage {
  readonly isPresent?: (index: number) => boolean;
}

/**
 * The content that a memory image holds; break points of fixed axes come from the layout. What `buildImage` made reads
 * back as the same content, but for numbers between storage steps. Throws `noImage` and `badImageMap`.
 */
export function readImage(
  layout: Layout,
  platform: Platform,
  image: ReadableImage,
): { readonly kind: 'read'; readonly content: RevisionContent } | Refused {
  const map = getImageMap(layout);
  const fields = imageFields(layout, platform);
  const problems = new ProblemList();
  if (image.startAddress !== map.startAddress || image.bytes.length !== map.byteCount) {
    const found = `${image.bytes.length} bytes from ${addressText(image.startAddress)}`;
    const expected = `${map.byteCount} bytes from ${addressText(map.startAddress)}`;
    problems.add(`The image has ${found}; layout version ${layout.version} expects ${expected}.`, {
      address: image.startAddress,
    });
    return problems.refusal();
  }
  findMissingBytes(map, fields, image, problems);
  // Where bytes are missing every checksum is wrong too, and says nothing new.
  if (problems.isEmpty) findWrongChecksums(map, image.bytes, problems);
  const content = contentOf(layout, map, fields, image.bytes, problems);
  return problems.isEmpty ? { kind: 'read', content } : problems.refusal();
}

function findMissingBytes(
  map: ImageMap,
  fields: readonly ImageField[],
  { isPresent }: ReadableImage,
  problems: ProblemList,
): void {
  if (!isPresent) return;
  const check = (name: string, address: number, byteCount: number, tableId: string | null, variant: string | null) => {
    let missingCount = 0;
    for (let i = 0; i < byteCount; i++) if (!isPresent(address - map.startAddress + i)) missingCount++;
    if (missingCount === 0) return;
    const lacking = `the file lacks ${missingCount} of ${byteCount} bytes`;
    problems.add(`${name} at ${rangeText(address, byteCount)}: ${lacking}. Make a file of the whole block.`, {
      address,
      tableId,
      variant,
    });
  };
  for (const field of fields) {
    check(fieldName(field), field.address, fieldBytes(field), field.spec.id, field.variant);
  }
  for (const { kind, address } of map.checksums) {
    check(`Checksum ${kind}`, address, STORAGE_BYTES[CHECKSUM_STORAGE[kind]], null, null);
  }
}

function findWrongChecksums(map: ImageMap, bytes: Uint8Array, problems: ProblemList): void {
  for (const { checksum, found, expected } of checkChecksums(map, bytes)) {
    if (found === expected) continue;
    const { kind, address, from, to } = checksum;
    const digits = 2 * STORAGE_BYTES[CHECKSUM_STORAGE[kind]];
    const hex = (sum: number) => sum.toString(16).toUpperCase().padStart(digits, '0');
    const name = `Checksum ${kind} at ${addressText(address)} over ${rangeText(from, to - from)}`;
    const advice = 'The bytes are damaged, or were changed without a new checksum: fetch the file again.';
    problems.add(`${name}: found ${hex(found)}, expected ${hex(expected)}. ${advice}`, { address });
  }
}

function contentOf(
  layout: Layout,
  map: ImageMap,
  fields: readonly ImageField[],
  bytes: Uint8Array,
  problems: ProblemList,
): RevisionContent {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const tables = Object.fromEntries(
    layout.tables.map((spec) => {
      const values: Record<string, number[]> = {};
      return [spec.id, { axes: spec.axes.map((axis) => axis.breakpoints), values }];
    }),
  );
  for (const field of fields) {
    const { axes, values } = tables[field.spec.id];
    const numbers = readNumbers(view, map, field, problems);
    if (field.axis === null) values[field.variant ?? ''] = numbers;
    else if (checkBreakpoints(field, numbers, problems)) axes[field.axis] = numbers;
  }
  return { platformId: layout.platformId, layoutVersion: layout.version, tables };
}

function readNumbers(view: DataView, map: ImageMap, field: ImageField, problems: ProblemList): number[] {
  const { type } = field.storage;
  const valueOfRaw = storedValueReader(field.storage);
  return Array.from({ length: field.count }, (_, i) => {
    const address = field.address + i * STORAGE_BYTES[type];
    const value = valueOfRaw(readRaw(view, address - map.startAddress, type, map.byteOrder));
    if (Number.isFinite(value)) return value;
    const place = `${fieldName(field)}, number ${i + 1} at ${addressText(address)}`;
    problems.add(`${place}: found ${value}, expected a number. The file is damaged, or for another layout.`, {
      address,
      tableId: field.spec.id,
      variant: field.variant,
    });
    return value;
  });
}

/** Whether the break points are a revision's own; those of a fixed axis must be the layout's, as far as storage tells. */
function checkBreakpoints(field: ImageField, breakpoints: readonly number[], problems: ProblemList): boolean {
  const { spec, address, storage } = field;
  const axis = spec.axes[field.axis ?? 0];
  const found = `${fieldName(field)} at ${addressText(address)}: found ${breakpoints.join(', ')}`;
  const advice = 'The file is for another layout, or damaged.';
  if (!axis.editable) {
    if (axis.breakpoints.some((point, i) => rawOf(storage, point) !== rawOf(storage, breakpoints[i]))) {
      const expected = axis.breakpoints.join(', ');
      problems.add(`${found}; the layout fixes them as ${expected}. ${advice}`, { address, tableId: spec.id });
    }
    return false;
  }
  if (breakpoints.every(Number.isFinite) && findAxisFault(breakpoints) >= 0) {
    problems.add(`${found}; expected rising numbers. ${advice}`, { address, tableId: spec.id });
  }
  return true;
}

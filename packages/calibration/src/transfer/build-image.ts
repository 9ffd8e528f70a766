import { CalibrationError } from '../calibration-error.js';
import type { RevisionContent } from '../document/content.js';
import type { Layout } from '../layout/layout.js';
import type { Platform } from '../layout/platform.js';
import { rawOf, STORAGE_RANGES } from '../layout/storage.js';
import { getTableContent, getVariantValues } from '../tables/find-table.js';
import { writeChecksums } from './image-checksums.js';
import { fieldName, getImageMap, type ImageField, imageFields } from './image-fields.js';
import type { MemoryImage } from './memory-image.js';
import { STORAGE_BYTES, writeRaw } from './raw-number.js';

/**
 * The memory image of content that passed `checkContent`: every value and every stored break point as the number that
 * the control unit keeps, the fill byte elsewhere, checksums last. Values between storage steps go to the nearest step;
 * `readImage` tells what became of them. Throws `noImage` and `badImageMap` for the layout, `notStorable` for break
 * points that fall together when stored, and `missingTable`, `missingVariant`, `wrongShape` and `notStorable` for
 * content that did not pass.
 */
export function buildImage(layout: Layout, platform: Platform, content: RevisionContent): MemoryImage {
  const map = getImageMap(layout);
  const fields = imageFields(layout, platform);
  const bytes = new Uint8Array(map.byteCount).fill(map.fill);
  const view = new DataView(bytes.buffer);
  for (const field of fields) {
    const start = field.address - map.startAddress;
    const { type } = field.storage;
    rawNumbers(field, content).forEach((raw, i) => {
      writeRaw(view, start + i * STORAGE_BYTES[type], type, raw, map.byteOrder);
    });
  }
  writeChecksums(map, bytes);
  return { startAddress: map.startAddress, bytes };
}

function rawNumbers(field: ImageField, content: RevisionContent): number[] {
  const { spec, variant, axis, storage, count } = field;
  const table = getTableContent(content, spec.id);
  const numbers = axis === null ? getVariantValues(spec, table, variant ?? '') : (table.axes[axis] ?? []);
  if (numbers.length !== count) {
    const message = `${fieldName(field)}: ${numbers.length} numbers, the layout has ${count}.`;
    throw new CalibrationError('wrongShape', message);
  }
  const range = STORAGE_RANGES[storage.type];
  // Adding 0 makes −0 plain 0, so that equal content has equal bytes.
  const raw = numbers.map((value) => rawOf(storage, value) + 0);
  raw.forEach((number, i) => {
    if (!(number >= range.min && number <= range.max)) throw notStorable(field, i, numbers[i], 'does not fit into');
    if (axis !== null && i > 0 && number <= raw[i - 1]) throw notStorable(field, i, numbers[i], 'is not told apart in');
  });
  return raw;
}

function notStorable(field: ImageField, index: number, value: number, fault: string): CalibrationError {
  const { type, resolution, offset } = field.storage;
  const storage = `${type} storage with resolution ${resolution} and offset ${offset}`;
  return new CalibrationError('notStorable', `${fieldName(field)}, number ${index + 1}: ${value} ${fault} ${storage}.`);
}

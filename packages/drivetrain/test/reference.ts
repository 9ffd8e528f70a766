import { existsSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

const folder = fileURLToPath(new URL('../../../../shared/reference/', import.meta.url));

/** Whether the folder of published check values lies beside the checkout. */
export const hasReference = existsSync(folder);

if (!hasReference) {
  console.warn('No ../shared/reference beside the checkout: only the check values typed into the tests are compared.');
}

/** A file of published check values; the caller states its shape. */
export function readReference<Shape>(name: string): Shape {
  return JSON.parse(readFileSync(folder + name, 'utf8')) as Shape;
}

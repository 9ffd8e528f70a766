import { existsSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

/** The folder of check values and recordings that stands beside the checkout. */
const SHARED = fileURLToPath(new URL('../../../../shared/', import.meta.url));

/** Path of a check-value file; says plainly when the folder is absent. */
export function referencePath(name: string): string {
  return present(`${SHARED}reference/${name}`);
}

/** Path of a recording; says plainly when the folder is absent. */
export function recordingPath(name: string): string {
  return present(`${SHARED}data/${name}`);
}

function present(path: string): string {
  if (!existsSync(path)) throw new Error(`${path} is absent: this test needs the shared folder beside the checkout`);
  return path;
}

import { readFileSync } from 'node:fs';
import { commandLine, type RecordCommand, sha256 } from './record-commands.ts';

/** What GNU objcopy 2.40 and SRecord srec_cat 1.64 wrote; see `make-records.ts`. */
export const RECORDS_FILE = new URL('records.txt', import.meta.url);

/** Longer outputs are kept as their hash alone. */
const MAX_KEPT_LENGTH = 4000;

/** A command, the size of the image, the hash of the exact output, and its lines for people to compare. */
export function fixtureOf(command: RecordCommand, output: string): string {
  const lines = output.length > MAX_KEPT_LENGTH ? [] : output.split(/\r?\n/).filter((line) => line !== '');
  const head = [`$ ${commandLine(command)}`, `bytes ${command.image.bytes.length} sha256 ${sha256(output)}`];
  return [...head, ...lines, ''].join('\n');
}

/** The stored fixtures in the order of the commands. */
export function readFixtures(): string[] {
  return readFileSync(RECORDS_FILE, 'utf8').split(/\n(?=\$ )/);
}

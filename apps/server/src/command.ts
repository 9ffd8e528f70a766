import { resolve } from 'node:path';
import { StoreError } from '@syncline/store';
import { SettingsError } from './settings.js';

/** Exit codes of commands that judge something. */
export const GOOD = 0;
export const BAD = 1;
export const UNUSABLE = 2;

/** A path as it was typed: npm runs scripts in the folder of the project, wherever it was called. */
export function typedPath(path: string): string {
  return resolve(process.env.INIT_CWD ?? '', path);
}

/** Runs a command and sets the exit code; what its user can mend is told in a sentence. */
export async function runCommand(work: (args: readonly string[]) => Promise<number>): Promise<void> {
  try {
    process.exitCode = await work(process.argv.slice(2));
  } catch (error) {
    const isExpected =
      error instanceof SettingsError || error instanceof StoreError || (error instanceof Error && 'code' in error);
    if (!isExpected) throw error;
    process.stderr.write(`${(error as Error).message}\n`);
    process.exitCode = UNUSABLE;
  }
}

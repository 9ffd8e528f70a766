import { CalibrationError } from '../src/index.js';

/** Code and message of the calibration error that the work throws. */
export function refusalOf(work: () => unknown): [string, string] {
  try {
    work();
  } catch (error) {
    if (error instanceof CalibrationError) return [error.code, error.message];
    throw error;
  }
  throw new Error('nothing was refused');
}

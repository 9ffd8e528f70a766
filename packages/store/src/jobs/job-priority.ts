import type { NewJob } from './jobs.js';

/** Priorities as they lie in rows; the lower is done first. */
export const URGENT = 0;
const BACKGROUND = 1;

export function priorityOf({ isBackground = false }: Pick<NewJob, 'isBackground'>): number {
  return isBackground ? BACKGROUND : URGENT;
}

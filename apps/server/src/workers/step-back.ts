import { constants, setPriority } from 'node:os';
import { isMainThread } from 'node:worker_threads';

/**
 * Lets the threads that answer people go first where there are more threads than processors. On Linux a priority is
 * that of a thread; elsewhere it would be that of the whole server.
 */
export function stepBack(): void {
  if (process.platform === 'linux' && !isMainThread) setPriority(constants.priority.PRIORITY_BELOW_NORMAL);
}

import { availableParallelism } from 'node:os';
import { fileURLToPath } from 'node:url';
import { Piscina } from 'piscina';
import type { CaptureTask, GeneratedLog, GenerateTask } from '../workers/generate-drive.js';

/** Workers run compiled code only, whether this file was compiled or is read by the tests. */
const WORKER_FILE = fileURLToPath(new URL('../../dist/workers/generate-drive.js', import.meta.url));

/** Threads that drive the invented cars. */
export interface DriveGenerator {
  readonly threadCount: number;
  generate(task: GenerateTask): Promise<GeneratedLog>;
  capture(task: CaptureTask): Promise<GeneratedLog>;
  close(): Promise<void>;
}

/** One thread for each core: the server's own are idle until the first drives are there. */
export function createDriveGenerator(): DriveGenerator {
  const threadCount = availableParallelism();
  const pool = new Piscina({ filename: WORKER_FILE, minThreads: threadCount, maxThreads: threadCount });
  return {
    threadCount,
    generate: (task) => pool.run(task, { name: 'generateDrive' }),
    capture: (task) => pool.run(task, { name: 'generateCapture' }),
    close: () => pool.destroy(),
  };
}

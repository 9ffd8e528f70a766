import { performance } from 'node:perf_hooks';
import { printJson } from '../../../tests/bench/figures.js';

export const SEED = 20_240_229;

const figures: Record<string, unknown> = {};

/** Runs once to warm up, then `runs` times; prints median, spread and memory, and hands back the last result. */
export function measure<Result>(title: string, runs: number, run: () => Result): Result {
  const times: number[] = [];
  let result = run();
  for (let i = 0; i < runs; i += 1) {
    const start = performance.now();
    result = run();
    times.push(performance.now() - start);
  }
  times.sort((a, b) => a - b);
  figures[title] = { medianMs: times[runs >> 1], lowMs: times[0], highMs: times[runs - 1], runs };
  const [median, fastest, slowest] = [times[runs >> 1], times[0], times[runs - 1]].map((ms) => ms.toFixed(1));
  const heapMiB = Math.round(process.memoryUsage().heapUsed / 2 ** 20);
  console.log(`${title}: ${median} ms (${fastest} to ${slowest}), heap ${heapMiB} MiB`);
  return result;
}

/** The last lines of the bench: the machine, and everything that was measured. */
export function printAll(): void {
  printJson(figures);
}

export function assert(condition: boolean): asserts condition {
  if (!condition) throw new Error('the benchmark computed something wrong');
}

import { printJson } from '../../../tests/bench/figures.js';

export interface Timing {
  readonly medianMs: number;
  readonly lowMs: number;
  readonly highMs: number;
}

/** Runs something twice to warm up and then `runs` times. */
export async function measure(work: () => unknown, runs = 21): Promise<Timing> {
  for (let i = 0; i < 2; i++) await work();
  const times: number[] = [];
  for (let i = 0; i < runs; i++) {
    const began = performance.now();
    await work();
    times.push(performance.now() - began);
  }
  times.sort((a, b) => a - b);
  return { medianMs: times[runs >> 1], lowMs: times[0], highMs: times[runs - 1] };
}

const reported: Record<string, unknown> = {};

/** Keeps a figure for `reportAll` that was printed in words of its own. */
export function record(name: string, figure: unknown): void {
  reported[name] = figure;
}

export function report(name: string, timing: Timing): void {
  const { medianMs, lowMs, highMs } = timing;
  record(name, timing);
  console.log(`${name}: ${medianMs.toFixed(2)} ms (${lowMs.toFixed(2)}–${highMs.toFixed(2)})`);
}

/** The last lines of the bench: the machine, and everything that was reported. */
export function reportAll(): void {
  printJson(reported);
}

import { cpus, loadavg } from 'node:os';

/** What the figures were measured on, and what else it had to do in the last minute. */
export function machine(): string {
  const cores = cpus();
  return `${cores.length} × ${cores[0]?.model ?? 'unknown processor'}, Node ${process.version}, load average ${loadavg()[0]!.toFixed(1)}`;
}

/** Median of several runs, with the fastest and the slowest. */
export interface Spread {
  readonly median: number;
  readonly low: number;
  readonly high: number;
  readonly runs: number;
}

export function spreadOf(values: readonly number[]): Spread {
  const sorted = values.toSorted((a, b) => a - b);
  const last = sorted.length - 1;
  return { median: sorted[sorted.length >> 1]!, low: sorted[0]!, high: sorted[last]!, runs: sorted.length };
}

/** Of what was measured, in the units that its name says. */
export interface FigureRow {
  readonly what: string;
  readonly unit: string;
  readonly spread: Spread;
}

export function printRow({ what, unit, spread: { median, low, high, runs } }: FigureRow): void {
  const spread = runs === 1 ? 'once' : `${shown(low)} to ${shown(high)}, ${runs} runs`;
  console.log(`${what.padEnd(64)} ${shown(median).padStart(8)} ${unit.padEnd(6)} (${spread})`);
}

/** The last line of a bench: everything for whoever keeps figures. */
export function printJson(figures: unknown): void {
  console.log(machine());
  console.log(JSON.stringify({ machine: machine(), figures }));
}

function shown(value: number): string {
  return value >= 100 ? value.toFixed(0) : value.toPrecision(3);
}

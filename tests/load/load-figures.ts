/** Reads above this are too slow at the 95th percentile (ms). */
export const READ_LIMIT_MS = 100;
/** Memory that grew by less from the middle of a run to its end is flat. */
const MEMORY_GROWTH_LIMIT = 0.1;

/** One answer that came in, or did not. */
export interface Answer {
  /** Method and route, with `:id` for what differs. */
  readonly route: string;
  readonly kind: 'read' | 'upload';
  readonly tookMs: number;
  /** Null where all is well. */
  readonly error: string | null;
}

/** The server at one moment. */
export interface Sample {
  /** Since the load began (s). */
  readonly atS: number;
  readonly residentBytes: number;
  readonly heapBytes: number;
  /** Delay of the server's event loop since the sample before, at the 99th percentile and at most (ms). */
  readonly stallP99Ms: number;
  readonly stallMaxMs: number;
  /** Of one core, since the sample before. */
  readonly cpuShare: number;
  readonly waitingJobs: number;
}

export interface Figures {
  readonly count: number;
  readonly errors: number;
  readonly p50Ms: number;
  readonly p95Ms: number;
  readonly p99Ms: number;
  readonly maxMs: number;
}

/** The value that a share of all do not exceed: nearest rank. Throws for no values. */
export function percentile(sorted: readonly number[], share: number): number {
  if (sorted.length === 0) throw new Error('a percentile needs at least one value');
  return sorted[Math.max(0, Math.ceil(share * sorted.length) - 1)]!;
}

export function figuresOf(answers: readonly Answer[]): Figures {
  const sorted = answers.map(({ tookMs }) => tookMs).sort((a, b) => a - b);
  return {
    count: answers.length,
    errors: answers.filter(({ error }) => error !== null).length,
    p50Ms: percentile(sorted, 0.5),
    p95Ms: percentile(sorted, 0.95),
    p99Ms: percentile(sorted, 0.99),
    maxMs: sorted.at(-1)!,
  };
}

/** By route, the slowest first. */
export function figuresByRoute(answers: readonly Answer[]): [string, Figures][] {
  const routes = [...new Set(answers.map(({ route }) => route))];
  return routes
    .map((route): [string, Figures] => [route, figuresOf(answers.filter((answer) => answer.route === route))])
    .sort(([, a], [, b]) => b.p95Ms - a.p95Ms);
}

/**
 * How much more memory the server has in the last fifth than in the middle fifth of a run, as a share: the first part
 * fills caches. Zero where there are too few samples to tell.
 */
export function memoryGrowth(samples: readonly Pick<Sample, 'residentBytes'>[]): number {
  const fifth = Math.floor(samples.length / 5);
  if (fifth === 0) return 0;
  const mean = (from: number) =>
    samples.slice(from, from + fifth).reduce((sum, { residentBytes }) => sum + residentBytes, 0) / fifth;
  return mean(samples.length - fifth) / mean(2 * fifth) - 1;
}

/** What is not as it has to be, in words; empty when all is well. */
export function faultsOf(answers: readonly Answer[], samples: readonly Sample[]): string[] {
  const faults: string[] = [];
  const failed = answers.filter(({ error }) => error !== null);
  if (failed.length > 0) faults.push(`${failed.length} requests failed, the first: ${failed[0]!.error}`);
  const reads = answers.filter(({ kind }) => kind === 'read');
  const { p95Ms } = figuresOf(reads);
  if (p95Ms > READ_LIMIT_MS)
    faults.push(`reads took ${p95Ms.toFixed(0)} ms at the 95th percentile, not ${READ_LIMIT_MS}`);
  const growth = memoryGrowth(samples);
  if (growth > MEMORY_GROWTH_LIMIT)
    faults.push(`memory grew by ${(100 * growth).toFixed(0)} % from the middle to the end`);
  return faults;
}

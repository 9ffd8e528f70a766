import {
  type Answer,
  type Figures,
  faultsOf,
  figuresByRoute,
  figuresOf,
  memoryGrowth,
  percentile,
  type Sample,
} from './load-figures.ts';
import type { LoadSetting } from './load-setting.ts';

export interface LoadResult {
  readonly setting: LoadSetting;
  readonly machine: string;
  readonly answers: readonly Answer[];
  readonly samples: readonly Sample[];
  /** Longest that this program itself was not there (ms): what it adds to a figure. */
  readonly ownStallMs: number;
  readonly elapsedS: number;
}

const MIB = 2 ** 20;
const ms = (value: number) => value.toFixed(0);
const mib = (bytes: number) => (bytes / MIB).toFixed(0);

/** What was measured, for programs. */
export function loadJson({ answers, ...result }: LoadResult): string {
  const byKind = Object.fromEntries(
    (['read', 'upload'] as const).flatMap((kind) => {
      const of = answers.filter((answer) => answer.kind === kind);
      return of.length === 0 ? [] : [[kind, figuresOf(of)]];
    }),
  );
  const byRoute = Object.fromEntries(figuresByRoute(answers));
  const faults = faultsOf(answers, result.samples);
  return `${JSON.stringify({ ...result, faults, byKind, byRoute }, null, 1)}\n`;
}

/** The same as a page to read. */
export function loadPage(result: LoadResult): string {
  const { setting, machine, answers, samples, ownStallMs, elapsedS } = result;
  const faults = faultsOf(answers, samples);
  const stalls = samples.map(({ stallP99Ms }) => stallP99Ms).sort((a, b) => a - b);
  const of = (kind: Answer['kind']) => answers.filter((answer) => answer.kind === kind);
  const rows: [string, Figures][] = (['read', 'upload'] as const).flatMap((kind) =>
    of(kind).length === 0 ? [] : [[`**all ${kind}s**`, figuresOf(of(kind))] as [string, Figures]],
  );
  return `# Testers at once

${setting.testers} testers for ${setting.minutes} min, each opening a page every ${setting.thinkS} s and uploading a drive of
${setting.driveS} s every ${setting.uploadEveryMinutes} min on average, through the API of a real server; every request that a page of
\`apps/web\` makes is made. Clients and server shared one machine: ${machine}.

${faults.length === 0 ? 'All is as it has to be.' : faults.map((fault) => `- ${fault}`).join('\n')}

| answers | count | errors | p50 (ms) | p95 (ms) | p99 (ms) | longest (ms) |
|---|---:|---:|---:|---:|---:|---:|
${[...rows, ...figuresByRoute(answers).map(([route, figures]): [string, Figures] => [`\`${route}\``, figures])].map(figureRow).join('\n')}

${(answers.length / elapsedS).toFixed(1)} answers a second. Event loop of the server: ${ms(percentile(stalls, 0.5))} ms late at the 99th percentile of
its turns in the middle of the run, ${ms(Math.max(...samples.map(({ stallMaxMs }) => stallMaxMs)))} ms at worst; the clients' own: ${ms(ownStallMs)} ms at worst.
Memory grew by ${(100 * memoryGrowth(samples)).toFixed(1)} % from the middle fifth of the run to the last.

| after (s) | memory (MiB) | heap (MiB) | late p99 (ms) | processor (cores) | waiting jobs |
|---:|---:|---:|---:|---:|---:|
${every(samples, 12).map(sampleRow).join('\n')}
`;
}

function figureRow([name, { count, errors, p50Ms, p95Ms, p99Ms, maxMs }]: [string, Figures]): string {
  return `| ${name} | ${count} | ${errors} | ${[p50Ms, p95Ms, p99Ms, maxMs].map(ms).join(' | ')} |`;
}

function sampleRow({ atS, residentBytes, heapBytes, stallP99Ms, cpuShare, waitingJobs }: Sample): string {
  return `| ${ms(atS)} | ${mib(residentBytes)} | ${mib(heapBytes)} | ${ms(stallP99Ms)} | ${cpuShare.toFixed(2)} | ${waitingJobs} |`;
}

/** At most so many of them, evenly spread, the last among them. */
function every<T>(items: readonly T[], count: number): T[] {
  const step = Math.ceil(items.length / count);
  return items.filter((_, index) => (items.length - 1 - index) % step === 0);
}

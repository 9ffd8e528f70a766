import { monitorEventLoopDelay } from 'node:perf_hooks';

export interface Figure {
  readonly what: string;
  readonly runs: number;
  readonly medianMs: number;
  readonly lowMs: number;
  readonly highMs: number;
  /** Processor time of all threads at the median: what is left of the figure on a busy machine. */
  readonly cpuMs: number;
  /** The longest that the server's thread was not there for others meanwhile; about 1 ms is the least that is seen. */
  readonly stallMs: number;
  /** The same at the 99th percentile of its turns. */
  readonly stallP99Ms: number;
}

export interface MeasureOptions {
  readonly runs?: number;
  readonly warmUps?: number;
  /** Done before each run, unmeasured. */
  readonly before?: () => unknown;
}

/** Runs something `warmUps` times unseen and then `runs` times. */
export async function measure(what: string, work: () => unknown, options: MeasureOptions = {}): Promise<Figure> {
  const { runs = 11, warmUps = 2, before } = options;
  for (let i = 0; i < warmUps; i++) {
    await before?.();
    await work();
  }
  const delay = monitorEventLoopDelay({ resolution: 1 });
  const times: number[] = [];
  const cpuTimes: number[] = [];
  for (let i = 0; i < runs; i++) {
    await before?.();
    // Lets the clock of the delays begin.
    await new Promise((resolve) => setTimeout(resolve, 5));
    delay.enable();
    const began = performance.now();
    const usage = process.cpuUsage();
    await work();
    const { user, system } = process.cpuUsage(usage);
    times.push(performance.now() - began);
    cpuTimes.push((user + system) / 1000);
    await new Promise((resolve) => setTimeout(resolve, 5));
    delay.disable();
  }
  for (const list of [times, cpuTimes]) list.sort((a, b) => a - b);
  const figure = {
    what,
    runs,
    medianMs: times[runs >> 1],
    lowMs: times[0],
    highMs: times[runs - 1],
    cpuMs: cpuTimes[runs >> 1],
    stallMs: delay.max / 1e6,
    stallP99Ms: delay.percentile(99) / 1e6,
  };
  print(figure);
  return figure;
}

function print({ what, runs, medianMs, lowMs, highMs, cpuMs, stallMs, stallP99Ms }: Figure): void {
  const times = `${medianMs.toFixed(1)} ms (${lowMs.toFixed(1)}–${highMs.toFixed(1)} of ${runs})`;
  console.log(
    `${what.padEnd(60)} ${times.padStart(34)}   processor ${cpuMs.toFixed(1).padStart(7)} ms   thread away ${stallP99Ms.toFixed(1)} ms (at most ${stallMs.toFixed(1)})`,
  );
}

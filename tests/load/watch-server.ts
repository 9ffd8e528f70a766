import { setTimeout as sleep } from 'node:timers/promises';
import type { Sample } from './load-figures.ts';

const EVERY_MS = 5000;
/**
 * What the server's gauges of its event loop read when nothing delays it: they hold the time from one turn of a timer of
 * 10 ms to the next (the default of `perf_hooks.monitorEventLoopDelay`). Each reading of the metrics begins them anew.
 */
const TIMER_MS = 10;

/** Reads the metrics of a server every five seconds until it is told to stop, which gives them. */
export function watchServer(baseUrl: string, token: string): () => Promise<readonly Sample[]> {
  const samples: Sample[] = [];
  const beganMs = performance.now();
  const stopping = new AbortController();
  let lastCpuS = Number.NaN;
  let lastS = 0;
  const look = async () => {
    const response = await fetch(`${baseUrl}/metrics`, { headers: { authorization: `Bearer ${token}` } });
    if (!response.ok) throw new Error(`/metrics: ${response.status}`);
    const metrics = readMetrics(await response.text());
    const atS = (performance.now() - beganMs) / 1000;
    const cpuS = metrics('syncline_process_cpu_seconds_total');
    // The first look begins what is counted.
    if (!Number.isNaN(lastCpuS)) {
      samples.push({
        atS,
        residentBytes: metrics('syncline_process_resident_memory_bytes'),
        heapBytes: metrics('syncline_nodejs_heap_size_used_bytes'),
        stallP99Ms: metrics('syncline_nodejs_eventloop_lag_p99_seconds') * 1000 - TIMER_MS,
        stallMaxMs: metrics('syncline_nodejs_eventloop_lag_max_seconds') * 1000 - TIMER_MS,
        cpuShare: (cpuS - lastCpuS) / (atS - lastS),
        waitingJobs: metrics('syncline_jobs{state="queued"}'),
      });
    }
    [lastCpuS, lastS] = [cpuS, atS];
  };
  const watching = (async () => {
    while (!stopping.signal.aborted) {
      await look();
      await sleep(EVERY_MS, undefined, { signal: stopping.signal }).catch(() => {});
    }
    await look();
  })();
  return async () => {
    stopping.abort();
    await watching;
    return samples;
  };
}

/** Values of the Prometheus text format by name with labels. Throws for a name that is not there. */
export function readMetrics(text: string): (name: string) => number {
  const values = new Map<string, number>();
  for (const line of text.split('\n')) {
    const space = line.lastIndexOf(' ');
    if (!line.startsWith('#') && space > 0) values.set(line.slice(0, space), Number(line.slice(space + 1)));
  }
  return (name) => {
    const value = values.get(name);
    if (value === undefined) throw new Error(`the metrics have no ${name}`);
    return value;
  };
}

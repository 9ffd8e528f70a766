import { execFileSync } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';

/** Most memory that a process had resident since it began, all its threads together (bytes). */
export function peakMemoryBytes(pid: number): number {
  const status = `/proc/${pid}/status`;
  if (existsSync(status)) {
    const peak = /^VmHWM:\s+(\d+) kB$/m.exec(readFileSync(status, 'utf8'));
    if (peak) return Number(peak[1]) * 1024;
  }
  // Other systems tell only what is resident now.
  return Number(execFileSync('ps', ['-o', 'rss=', '-p', String(pid)], { encoding: 'utf8' })) * 1024;
}

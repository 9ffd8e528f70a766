import { instantOfName } from './names.js';

const DAY_MS = 24 * 3600_000;
const WEEK_MS = 7 * DAY_MS;
/** 1970-01-01 was a Thursday: weeks that begin on Monday begin so much after a multiple of a week (ms). */
const FIRST_MONDAY_MS = 4 * DAY_MS;

/**
 * The backups that are not kept: all but the newest of each of the last `daily` days that have one, the newest of each
 * of the last `weekly` weeks (from Monday) that have one, and the newest of all. Days and weeks are those of UTC. Names
 * that are no backup are left alone.
 */
export function planRetention(
  names: readonly string[],
  { daily, weekly }: { readonly daily: number; readonly weekly: number },
): string[] {
  const newestFirst = names
    .flatMap((name) => {
      const atMs = instantOfName(name);
      return atMs === undefined ? [] : [{ name, atMs }];
    })
    .sort((a, b) => b.atMs - a.atMs);
  const kept = new Set([
    ...newestFirst.slice(0, 1),
    ...newestOfEach(newestFirst, ({ atMs }) => Math.floor(atMs / DAY_MS), daily),
    ...newestOfEach(newestFirst, ({ atMs }) => Math.floor((atMs - FIRST_MONDAY_MS) / WEEK_MS), weekly),
  ]);
  return newestFirst.filter((backup) => !kept.has(backup)).map(({ name }) => name);
}

function newestOfEach<T>(newestFirst: readonly T[], spanOf: (item: T) => number, spanCount: number): T[] {
  const newest = new Map<number, T>();
  for (const item of newestFirst) {
    const span = spanOf(item);
    if (!newest.has(span) && newest.size < spanCount) newest.set(span, item);
  }
  return [...newest.values()];
}

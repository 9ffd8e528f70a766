import type { ByLoad, GradingPolicy, ProgramPolicy } from './policy.js';

/** Thresholds of a program; those of `default` where the policy does not name it or the log tells no program. */
export function programPolicy(policy: GradingPolicy, programId: string | null): ProgramPolicy {
  return (programId === null ? undefined : policy.programs[programId]) ?? policy.programs.default;
}

/** Value of a table at a load, linear between break points and clamped outside. */
export function valueAtLoad(table: ByLoad, load: number): number {
  const { load: breakpoints, value } = table;
  let upper = breakpoints.findIndex((breakpoint) => breakpoint >= load);
  if (upper < 0) upper = breakpoints.length - 1;
  const lower = Math.max(0, upper - 1);
  const x0 = breakpoints[lower] as number;
  const x1 = breakpoints[upper] as number;
  const share = x1 > x0 ? Math.min(Math.max((load - x0) / (x1 - x0), 0), 1) : 1;
  return (value[lower] as number) + share * ((value[upper] as number) - (value[lower] as number));
}

/** Highest value of a table: what holds at any load. */
export function highestValue(table: ByLoad): number {
  return Math.max(...table.value);
}

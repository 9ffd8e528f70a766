import type { Platform } from '@syncline/calibration';
import type { Finding } from '@syncline/contract';
import type { ByLoad, GradingPolicy } from '@syncline/shifts';
import { blockingFinding } from './findings.js';

/** What is wrong with a grading policy for a platform; empty for one that shifts may be graded with. */
export function checkPolicy(policy: Omit<GradingPolicy, 'version'>, platform: Platform): Finding[] {
  const known = new Set(['default', ...platform.programs.map((program) => program.id)]);
  return Object.entries(policy.programs).flatMap(([program, thresholds]) => {
    const where = `programs.${program}`;
    return [
      ...(known.has(program) ? [] : [fault(where, `The platform has no program '${program}'.`)]),
      ...checkByLoad(`${where}.harshJerk`, thresholds.harshJerk),
      ...checkByLoad(`${where}.targetInertiaTimeS`, thresholds.targetInertiaTimeS),
    ];
  });
}

function checkByLoad(where: string, { load, value }: ByLoad): Finding[] {
  if (load.length !== value.length) {
    return [fault(where, `It has ${load.length} loads and ${value.length} values. Give one value for each load.`)];
  }
  const at = load.findIndex((x, i) => i > 0 && x <= load[i - 1]);
  return at < 0 ? [] : [fault(where, `Load ${load[at]} % stands after ${load[at - 1]} %. Let loads rise.`)];
}

const fault = (where: string, message: string) => blockingFinding('policy', where, message);

import type { Platform } from '@syncline/calibration';
import type { Finding } from '@syncline/contract';
import { blockingFinding } from './findings.js';

/** What is wrong with a platform in itself; empty for one that layouts and logs may be built on. */
export function checkPlatform(platform: Platform): Finding[] {
  const gears = platform.gears.map((entry) => entry.gear);
  const clutches = new Set(platform.clutches.map((clutch) => clutch.id));
  return [
    ...gears
      .slice(1)
      .flatMap((gear, i) =>
        gear > gears[i]
          ? []
          : [fault(`gears.${i + 1}`, `Gear ${gear} stands after gear ${gears[i]}. List gears once each, rising.`)],
      ),
    ...platform.gears.flatMap(({ gear, applied }, i) =>
      applied
        .filter((id) => !clutches.has(id))
        .map((id) =>
          fault(`gears.${i}.applied`, `Gear ${gear} applies clutch '${id}', which the platform does not have.`),
        ),
    ),
    ...platform.shifts.flatMap((shift, i) => {
      const where = `shifts.${i}`;
      if (shift.from === shift.to) return [fault(where, `Shift '${shift.id}' ends in the gear that it starts from.`)];
      if (shift.id !== `${shift.from}-${shift.to}`) {
        return [
          fault(
            where,
            `Shift '${shift.id}' goes from ${shift.from} to ${shift.to}. Call it '${shift.from}-${shift.to}'.`,
          ),
        ];
      }
      return [shift.from, shift.to]
        .filter((gear) => !gears.includes(gear))
        .map((gear) => fault(where, `Shift '${shift.id}' uses gear ${gear}, which the platform does not have.`));
    }),
    ...repeated(
      'clutches',
      platform.clutches.map((clutch) => clutch.id),
    ),
    ...repeated(
      'shifts',
      platform.shifts.map((shift) => shift.id),
    ),
    ...repeated(
      'programs',
      platform.programs.map((program) => program.id),
    ),
    ...repeated(
      'programs',
      platform.programs.map((program) => program.code),
    ),
    ...repeated(
      'dialects',
      platform.dialects.map((dialect) => dialect.id),
    ),
  ];
}

function repeated(where: string, values: readonly (string | number)[]): Finding[] {
  const twice = new Set(values.filter((value, i) => values.indexOf(value) !== i));
  return [...twice].map((value) => fault(where, `'${value}' is used more than once. Use it once.`));
}

const fault = (where: string, message: string) => blockingFinding('platform', where, message);

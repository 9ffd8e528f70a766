import {
  type CompiledLookUp,
  compileLookUp,
  compileRule,
  type Layout,
  type OperatingPoint,
  type Platform,
  type RevisionContent,
} from '@syncline/calibration';
import type { Gearbox } from './gearbox.js';
import { RULES } from './shift-layout.js';

/** An operating point that the control unit keeps up to date. */
export type LivePoint = { -readonly [K in keyof OperatingPoint]: OperatingPoint[K] };

/** What the tables say of one shift. */
export interface ShiftTables {
  readonly applyPressure: CompiledLookUp;
  readonly pressureRamp: CompiledLookUp;
  readonly releaseTimeMs: CompiledLookUp;
  readonly holdTorqueNm: CompiledLookUp;
  /** Of the on-coming clutch. */
  readonly fillTimeMs: CompiledLookUp;
  readonly fillPressure: CompiledLookUp;
}

/** A shift that the schedule may call for, and the output speed at which it does. */
interface ScheduledShift {
  readonly to: number;
  readonly outputSpeed: CompiledLookUp;
}

/** A revision prepared for a control unit in one program. */
export interface ControlTables {
  /** By shift id. */
  readonly shifts: Readonly<Record<string, ShiftTables>>;
  /** By gear, index 0 unused. */
  readonly upshifts: readonly (ScheduledShift | undefined)[];
  /** By gear, index 0 unused; lowest target first. */
  readonly downshifts: readonly (readonly ScheduledShift[])[];
  readonly lockUpOnSpeed: readonly (CompiledLookUp | undefined)[];
  readonly lockUpRamp: CompiledLookUp;
  readonly lockUpKeepLoad: CompiledLookUp;
}

/**
 * Compiles the tables that a control unit needs, with the look-up of packages/calibration. Throws a CalibrationError
 * when the layout or content lacks one.
 */
export function compileControlTables(
  gearbox: Gearbox,
  layout: Layout,
  content: RevisionContent,
  program: string,
): ControlTables {
  const { platform } = gearbox;
  const table = (id: string, fixed: OperatingPoint = {}): CompiledLookUp => compileLookUp(layout, content, id, fixed);
  const rule = (id: string, shift: string): CompiledLookUp => compileRule(layout, content, id, { shift, program });
  const gears = [0, ...platform.gears.map(({ gear }) => gear)];
  const scheduled = (id: string, to: number, ruleId: string): ScheduledShift => ({ to, outputSpeed: rule(ruleId, id) });
  return {
    shifts: Object.fromEntries(
      platform.shifts.map(({ id }) => {
        const clutch = gearbox.exchanges[id].oncoming;
        return [
          id,
          {
            applyPressure: rule(RULES.applyPressure, id),
            pressureRamp: table('pressureRamp', { shift: id }),
            releaseTimeMs: table('releaseTime', { shift: id }),
            holdTorqueNm: table('holdTorque', { shift: id }),
            fillTimeMs: table('fillTime', { clutch }),
            fillPressure: table('fillPressure', { clutch }),
          },
        ];
      }),
    ),
    upshifts: gears.map((gear) => {
      const shift = shiftsFrom(platform, gear).find(({ to }) => to === gear + 1);
      return shift && scheduled(shift.id, shift.to, RULES.upshift);
    }),
    downshifts: gears.map((gear) =>
      shiftsFrom(platform, gear)
        .filter(({ to }) => to < gear)
        .sort((a, b) => a.to - b.to)
        .map(({ id, to }) => scheduled(id, to, RULES.downshift)),
    ),
    lockUpOnSpeed: gears.map((gear) => (gear === 0 ? undefined : table('lockUpOnSpeed', { gear }))),
    lockUpRamp: table('lockUpRamp'),
    lockUpKeepLoad: table('lockUpKeepLoad'),
  };
}

function shiftsFrom(platform: Platform, gear: number): Platform['shifts'][number][] {
  return platform.shifts.filter(({ from }) => from === gear);
}

/** The gear that the schedule wants at a point: the lowest downshift that is due, else one gear up, else the same. */
export function scheduledGear(tables: ControlTables, gear: number, point: LivePoint): number {
  const outputSpeed = point.outputSpeed ?? 0;
  for (const shift of tables.downshifts[gear]) {
    if (outputSpeed < shift.outputSpeed(point)) return shift.to;
  }
  const up = tables.upshifts[gear];
  return up !== undefined && outputSpeed > up.outputSpeed(point) ? up.to : gear;
}

/** One gearbox with its control-unit family: what every calibration, log and shift of it refers to. */
export interface Platform {
  readonly id: string;
  readonly title: string;
  /** Forward gears in rising order. */
  readonly gears: readonly Gear[];
  readonly clutches: readonly Clutch[];
  /** The shifts that the control unit can make, up and down. */
  readonly shifts: readonly ShiftKind[];
  readonly programs: readonly Program[];
  /** Bus dialects that cars with this gearbox are known to speak. */
  readonly dialects: readonly BusDialect[];
  /** Input torque that a load of 100 % stands for (N·m). A vehicle profile may state its own. */
  readonly ratedInputTorqueNm: number;
  /** Inertia at the gearbox input in a shift, turbine and input members together (kg·m²). */
  readonly inputInertiaKgM2: number;
}

export interface Gear {
  readonly gear: number;
  /** Input speed over output speed, positive for a forward gear. */
  readonly ratio: number;
  /** Ids of the clutches that carry torque in this gear: one row of the application chart. */
  readonly applied: readonly string[];
}

export interface Clutch {
  readonly id: string;
  readonly title: string;
  readonly kind: 'clutch' | 'brake';
}

/** A shift between two gears. `id` is `from-to`, for instance `3-4` or `6-4`. */
export interface ShiftKind {
  readonly id: string;
  readonly from: number;
  readonly to: number;
}

export interface Program {
  readonly id: string;
  readonly title: string;
  /** The value of the `program` signal in a drive log. */
  readonly code: number;
}

/** One way in which a car's bus names and times its messages. A label on a module may lie about it. */
export interface BusDialect {
  readonly id: string;
  readonly title: string;
}

/** The clutches that a shift applies and releases, read off the application chart. */
export function clutchExchange(
  platform: Platform,
  from: number,
  to: number,
): { oncoming: string[]; offgoing: string[] } {
  const before = appliedIn(platform, from);
  const after = appliedIn(platform, to);
  return { oncoming: after.filter((id) => !before.includes(id)), offgoing: before.filter((id) => !after.includes(id)) };
}

function appliedIn(platform: Platform, gear: number): readonly string[] {
  return platform.gears.find((entry) => entry.gear === gear)?.applied ?? [];
}

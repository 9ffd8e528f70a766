/** A hydrodynamic torque converter by its curves over speed ratio ν = turbine speed / engine speed. */
export interface Converter {
  /** Pump torque at standstill over engine speed squared (N·m·s²/rad²). */
  readonly stallCapacity: number;
  /** Turbine torque over pump torque at standstill. */
  readonly stallTorqueRatio: number;
  /** Speed ratio from which the torque ratio is 1. */
  readonly couplingPoint: number;
  /** Capacity when the turbine drives the engine, over that of driving. */
  readonly overrunCapacity: number;
}

/** Torque multiplication: falls in a line from stall to 1 at the coupling point and stays there. */
export function torqueRatio(converter: Converter, speedRatio: number): number {
  const share = 1 - speedRatio / converter.couplingPoint;
  return share <= 0 ? 1 : 1 + (converter.stallTorqueRatio - 1) * Math.min(1, share);
}

/**
 * Torque taken from the engine (N·m; negative when the wheels drive it): capacity C(ν)·ω², with C = C_0·(1 − ν⁴), which
 * is flat at low speed ratios and falls steeply to zero at equal speeds. In overrun the turbine's speed and 1/ν take the
 * engine's place. Speeds in rad/s, not negative.
 */
export function pumpTorque(converter: Converter, engineSpeed: number, turbineSpeed: number): number {
  if (turbineSpeed <= engineSpeed) {
    return converter.stallCapacity * capacityShape(turbineSpeed, engineSpeed) * engineSpeed * engineSpeed;
  }
  const capacity = converter.stallCapacity * converter.overrunCapacity;
  return -capacity * capacityShape(engineSpeed, turbineSpeed) * turbineSpeed * turbineSpeed;
}

function capacityShape(slowSpeed: number, fastSpeed: number): number {
  if (fastSpeed <= 0) return 0;
  const ratio = Math.max(0, slowSpeed) / fastSpeed;
  const square = ratio * ratio;
  return 1 - square * square;
}

/** A turbocharged engine by a few figures. */
export interface Engine {
  /** Most torque, reached at `bestSpeedRpm` (N·m). */
  readonly peakTorqueNm: number;
  readonly bestSpeedRpm: number;
  readonly idleRpm: number;
  readonly governedRpm: number;
  /** Engine, flywheel and converter pump (kg·m²). */
  readonly inertiaKgM2: number;
  /** Time constant of torque after a change of pedal (s). */
  readonly torqueLagS: number;
}

/** Half width of the torque parabola (rpm): torque is three quarters of its peak this far / 2 from the best speed. */
const CURVE_WIDTH_RPM = 2800;
const GOVERNOR_BAND_RPM = 250;
const IDLE_STIFFNESS_NM_PER_RPM = 0.5;
const IDLE_RESERVE_NM = 130;

/** Full-pedal torque (N·m) at a speed: a parabola about the best speed, cut off over the governor's band. */
export function fullTorque(engine: Engine, speedRpm: number): number {
  const x = (speedRpm - engine.bestSpeedRpm) / CURVE_WIDTH_RPM;
  const curve = engine.peakTorqueNm * Math.max(0.1, 1 - x * x);
  const governor = (engine.governedRpm + GOVERNOR_BAND_RPM - speedRpm) / GOVERNOR_BAND_RPM;
  return curve * Math.min(1, Math.max(0, governor));
}

/** Torque that the unfuelled engine takes at a speed (N·m, positive). */
export function dragTorque(engine: Engine, speedRpm: number): number {
  return engine.peakTorqueNm * (0.03 + 0.000018 * speedRpm);
}

/** Steady torque (N·m) for a pedal (0–100 %) at a speed, with the idle governor holding `idleRpm` from below. */
export function steadyTorque(engine: Engine, pedal: number, speedRpm: number): number {
  const drag = dragTorque(engine, speedRpm);
  const asked = (pedal / 100) * (fullTorque(engine, speedRpm) + drag) - drag;
  const idle = (engine.idleRpm - speedRpm) * IDLE_STIFFNESS_NM_PER_RPM;
  return speedRpm < engine.idleRpm + 2 * drag ? Math.max(asked, Math.min(IDLE_RESERVE_NM, idle)) : asked;
}

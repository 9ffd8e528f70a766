/** Temperature coefficient of annealed copper at constant mass, referred to 20 °C (IEC 60028), per kelvin. */
const COPPER_PER_K = 0.00393;

/** Resistance (Ω) of a copper winding at a temperature (°C), from its resistance at 20 °C; methods.md 9. */
export function copperResistance(resistanceAt20COhm: number, temperatureC: number): number {
  return resistanceAt20COhm * (1 + COPPER_PER_K * (temperatureC - 20));
}

/** A coil switched by pulses, with a diode that keeps the current flowing in the pauses. */
export interface PulsedCoil {
  readonly supplyV: number;
  readonly resistanceOhm: number;
  /** Share of the period that the coil is on, 0 to 1. */
  readonly duty: number;
  /** Forward voltage of the diode in the pauses (V). */
  readonly diodeV: number;
}

/**
 * Mean current (A) of a pulsed coil in the steady state, (D·U − (1 − D)·U_d)/R; methods.md 9. Holds while the current
 * never falls to zero, so a small duty that would give a negative current answers 0.
 */
export function meanCoilCurrent(coil: PulsedCoil): number {
  const { supplyV, resistanceOhm, duty, diodeV } = coil;
  return Math.max(0, (duty * supplyV - (1 - duty) * diodeV) / resistanceOhm);
}

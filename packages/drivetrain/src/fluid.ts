const KELVIN_AT_ZERO_C = 273.15;
/** The simple form of ASTM D341 adds this to the viscosity in mm²/s. */
const WALTHER_SHIFT = 0.7;

/** Kinematic viscosity at one temperature. */
export interface ViscosityPoint {
  readonly temperatureC: number;
  readonly viscosityMm2PerS: number;
}

/** An automatic-gearbox fluid of usual grade: 34 mm²/s at 40 °C, 7.2 mm²/s at 100 °C. */
export const USUAL_FLUID: readonly [ViscosityPoint, ViscosityPoint] = [
  { temperatureC: 40, viscosityMm2PerS: 34 },
  { temperatureC: 100, viscosityMm2PerS: 7.2 },
];

/**
 * Kinematic viscosity (mm²/s) at a temperature from two known points by ASTM D341 (Walther),
 * log10 log10(ν + 0.7) = A − B·log10 T with T = t + 273.15 K; the simple form, valid above 2 mm²/s.
 * @example kinematicViscosity(USUAL_FLUID, 20)   // 76.49
 */
export function kinematicViscosity(points: readonly [ViscosityPoint, ViscosityPoint], temperatureC: number): number {
  const [first, second] = points;
  const yFirst = walther(first.viscosityMm2PerS);
  const ySecond = walther(second.viscosityMm2PerS);
  const xFirst = Math.log10(first.temperatureC + KELVIN_AT_ZERO_C);
  const xSecond = Math.log10(second.temperatureC + KELVIN_AT_ZERO_C);
  const slope = (ySecond - yFirst) / (xSecond - xFirst);
  const y = yFirst + slope * (Math.log10(temperatureC + KELVIN_AT_ZERO_C) - xFirst);
  return 10 ** (10 ** y) - WALTHER_SHIFT;
}

function walther(viscosityMm2PerS: number): number {
  return Math.log10(Math.log10(viscosityMm2PerS + WALTHER_SHIFT));
}

const WARM_C = 90;
const WARM_VISCOSITY = kinematicViscosity(USUAL_FLUID, WARM_C);

/** How a cold, thick fluid slows the hydraulics and a warm lining loses friction; every factor is 1 at 90 °C. */
export interface FluidEffects {
  /** Time to fill a clutch over that at 90 °C. */
  readonly fillTimeFactor: number;
  /** Time constant of the pressure over that at 90 °C. */
  readonly lagFactor: number;
  /** Friction coefficient over that at 90 °C. */
  readonly frictionFactor: number;
}

/**
 * Effects of fluid temperature (°C). Filling and lag have a share that follows the square root of viscosity (a passage
 * between orifice and capillary) and a share that does not; lining friction falls by 0.08 % per kelvin. Invented
 * figures of a plausible size.
 */
export function fluidEffects(temperatureC: number): FluidEffects {
  const thickness = Math.sqrt(kinematicViscosity(USUAL_FLUID, temperatureC) / WARM_VISCOSITY);
  return {
    fillTimeFactor: 0.75 + 0.25 * thickness,
    lagFactor: 0.6 + 0.4 * thickness,
    frictionFactor: 1 - 0.0008 * (temperatureC - WARM_C),
  };
}

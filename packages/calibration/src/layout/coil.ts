import type { CoilSupply } from './layout.js';

/** Change of the resistance of standard annealed copper per kelvin, referred to 20 °C (IEC 60028:1925). */
const COPPER_TEMPERATURE_COEFFICIENT = 0.003_93;

/**
 * Resistance of a copper winding (Ω): R20 · (1 + 0.00393 · (T − 20 °C)). Source: IEC 60028; methods.md 9.
 * @param resistanceOhm at 20 °C
 * @example copperResistanceOhm(5, 120)   // 6.965
 */
export function copperResistanceOhm(resistanceOhm: number, temperatureC: number): number {
  return resistanceOhm * (1 + COPPER_TEMPERATURE_COEFFICIENT * (temperatureC - 20));
}

/**
 * The largest mean current (A) that a pulsed coil carries at its worst: full duty at the lowest supply voltage, winding at
 * its highest temperature, U / (R(T) + R_series). Source: methods.md 9 with D = 1.
 */
export function reachableCurrentA(coil: CoilSupply): number {
  const windingOhm = copperResistanceOhm(coil.resistanceOhm, coil.highestTemperatureC);
  return coil.lowestVoltageV / (windingOhm + coil.seriesResistanceOhm);
}

/** Heat capacity of fluid and housing (J/K), cooling below and above the thermostat (W/K). */
const HEAT_CAPACITY = 22_000;
const COOLING_CLOSED = 12;
const COOLING_OPEN = 160;
const THERMOSTAT_C = 86;
/** The engine's coolant warms the fluid through a heat exchanger (W/K) and itself warms up in this time (s). */
const COOLANT_EXCHANGE = 45;
const COOLANT_WARM_C = 88;
const COOLANT_WARM_UP_S = 240;

/** Temperature of the gearbox fluid: warmed by losses and coolant, cooled by the air beyond a thermostat. */
export class FluidTemperature {
  temperatureC: number;
  readonly #ambientC: number;
  readonly #coolantAtStartC: number;

  constructor(startC: number, ambientC: number) {
    this.temperatureC = startC;
    this.#ambientC = ambientC;
    this.#coolantAtStartC = Math.min(startC, COOLANT_WARM_C);
  }

  /** @param lossJ heat of converter and clutches over the interval */
  advance(timeS: number, intervalS: number, lossJ: number): void {
    const missing = (COOLANT_WARM_C - this.#coolantAtStartC) * Math.exp(-timeS / COOLANT_WARM_UP_S);
    const fromCoolant = COOLANT_EXCHANGE * (COOLANT_WARM_C - missing - this.temperatureC);
    const cooling = this.temperatureC > THERMOSTAT_C ? COOLING_OPEN : COOLING_CLOSED;
    const toAir = cooling * (this.temperatureC - this.#ambientC);
    this.temperatureC += (lossJ + (fromCoolant - toAir) * intervalS) / HEAT_CAPACITY;
  }
}

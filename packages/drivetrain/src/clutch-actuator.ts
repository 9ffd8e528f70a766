/** Pressure over the return spring at which the nominal fill time holds (kPa). */
const REFERENCE_FILL_OVERPRESSURE_KPA = 360;
/** Time in which an unpressed piston goes all the way back (s). */
const DRAIN_TIME_S = 0.25;

/**
 * The hydraulic side of one clutch. Until the piston has crossed its clearance the clutch carries nothing; from then on
 * its pressure follows the command with a first-order lag. Filling goes with the square root of the pressure over the
 * return spring (an orifice); a command under the return pressure lets the piston go back.
 */
export class ClutchActuator {
  /** Share of the clearance that is closed, 0 to 1. */
  fill = 0;
  pressureKpa = 0;
  #returnPressureKpa = 0;
  #fillTimeS = 1;
  #lagS = 1;

  /** Makes this the actuator of a clutch in a given state. */
  attach(returnPressureKpa: number, fill: number, pressureKpa: number): void {
    this.#returnPressureKpa = returnPressureKpa;
    this.fill = fill;
    this.pressureKpa = pressureKpa;
  }

  /** Sets what depends on fluid temperature and car: time to fill at the reference pressure, and time constant (s). */
  setTimes(fillTimeS: number, lagS: number): void {
    this.#fillTimeS = fillTimeS;
    this.#lagS = lagS;
  }

  advance(commandKpa: number, stepS: number): void {
    const overpressure = commandKpa - this.#returnPressureKpa;
    if (this.fill < 1) {
      this.pressureKpa = Math.min(Math.max(commandKpa, 0), this.#returnPressureKpa);
      this.fill +=
        overpressure > 0
          ? (stepS / this.#fillTimeS) * Math.sqrt(overpressure / REFERENCE_FILL_OVERPRESSURE_KPA)
          : -stepS / DRAIN_TIME_S;
      this.fill = Math.min(1, Math.max(0, this.fill));
      return;
    }
    this.pressureKpa += (commandKpa - this.pressureKpa) * (stepS / (this.#lagS + stepS));
    if (overpressure < 0 && this.pressureKpa < this.#returnPressureKpa) this.fill = 1 - stepS / DRAIN_TIME_S;
  }

  /** Pressure that presses the plates together (kPa). */
  get effectiveKpa(): number {
    return this.fill < 1 ? 0 : Math.max(0, this.pressureKpa - this.#returnPressureKpa);
  }
}

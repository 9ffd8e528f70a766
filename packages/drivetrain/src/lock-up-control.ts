import type { ControlTables, LivePoint } from './control-tables.js';

/** The ramp starts here (%), just below the duty at which the clutch begins to carry. */
const LOCK_UP_START_DUTY = 9;
/** Engine over input speed below which the clutch counts as holding (rpm). */
const HELD_SLIP_RPM = 30;
const HELD_DUTY_RATE = 120;
const APPLIED_DUTY = 95;
const LEAST_FLUID_C = 30;
/** The wish to close must last this long, without a shift (s). */
const SETTLE_S = 0.6;
/** Off below this share of the speed at which it goes on. */
const HYSTERESIS = 0.9;
const OVERRUN_PEDAL = 1;
const OVERRUN_LEAST_INPUT_RPM = 1300;

/** The control unit's handling of the lock-up clutch: closed by a rising duty, opened for most shifts. */
export class LockUpControl {
  duty = 0;
  #isHeld = false;
  #unwantedAtS = 0;
  readonly #tables: ControlTables;

  constructor(tables: ControlTables) {
    this.#tables = tables;
  }

  get isClosing(): boolean {
    return this.duty > 0;
  }

  /** Called when a shift is commanded: opens the clutch, unless load is light and both gears are high ones. */
  onShift(from: number, to: number, load: number): void {
    if (Math.min(from, to) < 4 || Math.abs(from - to) > 1 || load > this.#tables.lockUpKeepLoad({})) this.#open();
  }

  update(
    timeS: number,
    cycleS: number,
    state: { gear: number; isShifting: boolean; slipRpm: number; isBraking: boolean },
    point: LivePoint,
  ): void {
    const outputSpeed = point.outputSpeed ?? 0;
    const onSpeed = this.#tables.lockUpOnSpeed[state.gear]?.(point) ?? Number.POSITIVE_INFINITY;
    const isOverrun = (point.pedal ?? 0) < OVERRUN_PEDAL && (point.inputSpeed ?? 0) < OVERRUN_LEAST_INPUT_RPM;
    if (!this.isClosing) {
      const isWarm = (point.fluidTemperature ?? 0) > LEAST_FLUID_C;
      const isWanted = outputSpeed > onSpeed && isWarm && !state.isShifting && !state.isBraking && !isOverrun;
      if (!isWanted) this.#unwantedAtS = timeS;
      else if (timeS - this.#unwantedAtS >= SETTLE_S) {
        this.duty = LOCK_UP_START_DUTY;
      }
      return;
    }
    if (outputSpeed < HYSTERESIS * onSpeed || state.isBraking || isOverrun) {
      if (!state.isShifting) this.#open();
      return;
    }
    if (Math.abs(state.slipRpm) < HELD_SLIP_RPM) this.#isHeld = true;
    const rate = this.#isHeld ? HELD_DUTY_RATE : this.#tables.lockUpRamp(point);
    this.duty = Math.min(APPLIED_DUTY, this.duty + rate * cycleS);
  }

  #open(): void {
    this.duty = 0;
    this.#isHeld = false;
  }
}

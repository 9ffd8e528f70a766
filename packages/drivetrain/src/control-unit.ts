import type { Platform, ShiftKind } from '@syncline/calibration';
import { type ControlTables, type LivePoint, scheduledGear } from './control-tables.js';
import type { LockUpRecord, ShiftRecord } from './drive-trace.js';
import type { Gearbox } from './gearbox.js';
import { LockUpControl } from './lock-up-control.js';
import type { Powertrain } from './powertrain.js';
import { ShiftSequence } from './shift-sequence.js';

const LOAD_FILTER_S = 0.04;
/** Quiet time between two shifts (s); a power downshift may follow at once. */
const LEAST_DWELL_S = 0.5;
/** A new wish counts as a change of mind when the pedal moved by this much since the command (%). */
const CHANGED_MIND_PEDAL = 40;

/** What the driver does at this moment. */
export interface DriverWish {
  readonly pedal: number;
  readonly isBraking: boolean;
}

/** The gearbox control unit: schedule, shift sequences, lock-up and line pressure, once per control cycle. */
export class ControlUnit {
  gear: number;
  target: number;
  linePressureKpa = 500;
  load = 0;
  readonly shifts: ShiftRecord[] = [];
  readonly lockUps: LockUpRecord[] = [];
  readonly #gearbox: Gearbox;
  readonly #platform: Platform;
  readonly #tables: ControlTables;
  readonly #powertrain: Powertrain;
  readonly #lockUp: LockUpControl;
  readonly #program: string;
  readonly #valveHoldS: number;
  readonly #point: LivePoint = {};
  #sequence: ShiftSequence | null = null;
  #lastEndS = 0;

  constructor(
    gearbox: Gearbox,
    tables: ControlTables,
    powertrain: Powertrain,
    options: { program: string; valveHoldS: number; gear?: number },
  ) {
    this.gear = options.gear ?? 1;
    this.target = this.gear;
    this.#gearbox = gearbox;
    this.#platform = gearbox.platform;
    this.#tables = tables;
    this.#powertrain = powertrain;
    this.#lockUp = new LockUpControl(tables);
    this.#program = options.program;
    this.#valveHoldS = options.valveHoldS;
  }

  get converterDuty(): number {
    return this.#lockUp.duty;
  }

  /** Commanded pressure of the clutch that governs the shift; line pressure in a steady gear (kPa). */
  get applyPressureKpa(): number {
    const sequence = this.#sequence;
    if (sequence === null) return this.linePressureKpa;
    return sequence.governedBy === 'oncoming' || sequence.phase === 'lock' ? sequence.onKpa : sequence.offKpa;
  }

  isValveOn(timeS: number): boolean {
    if (this.#sequence !== null) return true;
    return this.shifts.length > 0 && timeS - this.#lastEndS < this.#valveHoldS;
  }

  /** @param torqueNm what the unit takes for the input torque */
  update(timeS: number, cycleS: number, torqueNm: number, temperatureC: number, wish: DriverWish): void {
    const { engineRpm, inputRpm, outputRpm } = this.#powertrain;
    const load = (100 * torqueNm) / this.#platform.ratedInputTorqueNm;
    this.load += (load - this.load) * (cycleS / (LOAD_FILTER_S + cycleS));
    const point = this.#point;
    point.load = this.load;
    point.pedal = wish.pedal;
    point.engineSpeed = engineRpm;
    point.inputSpeed = inputRpm;
    point.outputSpeed = outputRpm;
    point.fluidTemperature = temperatureC;
    this.linePressureKpa = Math.min(1400, 450 + 2.2 * Math.abs(this.#inputTorqueNm()));
    if (this.#sequence === null) this.#considerShift(timeS);
    else this.#considerChangeOfMind(timeS, this.#sequence);
    this.#advanceSequence(timeS, cycleS);
    this.#advanceLockUp(timeS, cycleS, engineRpm - inputRpm, wish.isBraking);
  }

  #inputTorqueNm(): number {
    return (this.load / 100) * this.#platform.ratedInputTorqueNm;
  }

  #considerShift(timeS: number): void {
    const wanted = scheduledGear(this.#tables, this.gear, this.#point);
    const isKickdown = wanted < this.gear && (this.#point.pedal ?? 0) > 60;
    if (wanted === this.gear || (timeS - this.#lastEndS < LEAST_DWELL_S && !isKickdown)) return;
    const shift = this.#findShift(this.gear, wanted);
    if (shift !== undefined) this.#begin(timeS, shift, this.#newRecord(timeS, shift));
  }

  #considerChangeOfMind(timeS: number, sequence: ShiftSequence): void {
    const pedalMove = Math.abs((this.#point.pedal ?? 0) - (sequence.start.point.pedal ?? 0));
    if (pedalMove < CHANGED_MIND_PEDAL || sequence.governedBy === 'offgoing') return;
    if (sequence.phase === 'fill') this.#turnBack(timeS);
    else if (sequence.phase === 'inertia') this.#goOn(timeS);
  }

  /** Before torque has passed: stay in the old gear, or leave it for another one. */
  #turnBack(timeS: number): void {
    const wanted = scheduledGear(this.#tables, this.gear, this.#point);
    if (wanted === this.target) return;
    this.#powertrain.abandonShift();
    const shift = this.#findShift(this.gear, wanted);
    const record = this.#currentRecord();
    record.retargeted = true;
    if (shift === undefined) this.#finish(timeS, this.gear);
    else this.#begin(timeS, shift, record);
  }

  /** With the old clutch already released: the clutch that was coming on is now the one to go off. */
  #goOn(timeS: number): void {
    const wanted = scheduledGear(this.#tables, this.target, this.#point);
    const shift = this.#findShift(this.target, wanted);
    if (shift === undefined) return;
    const record = this.#currentRecord();
    record.retargeted = true;
    this.#powertrain.endShift(this.target);
    this.#begin(timeS, shift, record);
  }

  #begin(timeS: number, shift: ShiftKind, record: ShiftRecord): void {
    const isContinued = this.#sequence !== null;
    const offStartKpa = isContinued ? this.applyPressureKpa : this.linePressureKpa;
    this.#powertrain.startShift(shift);
    this.#lockUp.onShift(shift.from, shift.to, this.load);
    this.target = shift.to;
    const sequence = new ShiftSequence(
      this.#gearbox,
      this.#gearbox.exchanges[shift.id],
      this.#tables.shifts[shift.id],
      {
        timeS,
        fromRatio: this.#ratio(shift.from),
        toRatio: this.#ratio(shift.to),
        offStartKpa,
        point: { ...this.#point },
      },
    );
    this.#sequence = sequence;
    record.to = shift.to;
    record.toRatio = this.#ratio(shift.to);
    record.rampKpaPerS = sequence.rampKpaPerS;
    record.governedBy = sequence.governedBy;
    if (!isContinued) this.shifts.push(record);
    const lockUp = this.lockUps.at(-1);
    if (lockUp !== undefined && lockUp.releasedS === null && this.#lockUp.isClosing) lockUp.shiftsInside++;
  }

  #advanceSequence(timeS: number, cycleS: number): void {
    const sequence = this.#sequence;
    if (sequence === null) {
      this.#powertrain.offKpa = this.linePressureKpa;
      this.#powertrain.onKpa = 0;
      return;
    }
    sequence.update({ timeS, cycleS, point: this.#point, linePressureKpa: this.linePressureKpa });
    this.#powertrain.offKpa = sequence.offKpa;
    this.#powertrain.onKpa = sequence.onKpa;
    const record = this.#currentRecord();
    record.commandedKpa = sequence.commandedAtSlipKpa;
    record.governingGain = this.#powertrain.realGain(sequence.governedBy);
    if (sequence.phase !== 'done') return;
    this.#powertrain.endShift(this.target);
    this.#powertrain.offKpa = this.linePressureKpa;
    this.#finish(timeS, this.target);
  }

  #finish(timeS: number, gear: number): void {
    const record = this.#currentRecord();
    record.to = gear;
    record.toRatio = this.#ratio(gear);
    record.endS = timeS;
    this.gear = gear;
    this.target = gear;
    this.#sequence = null;
    this.#lastEndS = timeS;
  }

  #advanceLockUp(timeS: number, cycleS: number, slipRpm: number, isBraking: boolean): void {
    const wasClosing = this.#lockUp.isClosing;
    const isShifting = this.#sequence !== null;
    this.#lockUp.update(timeS, cycleS, { gear: this.gear, isShifting, slipRpm, isBraking }, this.#point);
    this.#powertrain.lockUpDuty = this.#lockUp.duty;
    const open = this.lockUps.at(-1);
    if (this.#lockUp.isClosing && !wasClosing) {
      this.lockUps.push({ gear: this.gear, commandS: timeS, releasedS: null, shiftsInside: 0 });
    } else if (!this.#lockUp.isClosing && open !== undefined && open.releasedS === null) {
      open.releasedS = timeS;
    }
  }

  #newRecord(timeS: number, shift: ShiftKind): ShiftRecord {
    const point = this.#point;
    return {
      from: shift.from,
      firstTarget: shift.to,
      to: shift.to,
      commandS: timeS,
      endS: null,
      retargeted: false,
      fromRatio: this.#ratio(shift.from),
      toRatio: this.#ratio(shift.to),
      commandedKpa: 0,
      rampKpaPerS: 0,
      governedBy: 'oncoming',
      governingGain: 1,
      at: {
        load: this.load,
        pedal: point.pedal ?? 0,
        inputTorqueNm: this.#powertrain.inputTorqueNm,
        engineSpeedRpm: this.#powertrain.engineRpm,
        inputSpeedRpm: this.#powertrain.inputRpm,
        outputSpeedRpm: this.#powertrain.outputRpm,
        fluidTemperatureC: point.fluidTemperature ?? 0,
        program: this.#program,
      },
    };
  }

  #currentRecord(): ShiftRecord {
    return this.shifts[this.shifts.length - 1];
  }

  #findShift(from: number, to: number): ShiftKind | undefined {
    return this.#platform.shifts.find((shift) => shift.from === from && shift.to === to);
  }

  #ratio(gear: number): number {
    return this.#platform.gears[gear - 1].ratio;
  }
}

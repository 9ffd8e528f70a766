import type { LivePoint, ShiftTables } from './control-tables.js';
import type { Exchange, Gearbox } from './gearbox.js';

export type ShiftPhase = 'fill' | 'torque' | 'inertia' | 'lock' | 'done';

/** Over the return pressure by this, a clutch is filled and carries next to nothing (kPa). */
const KISS_OVER_RETURN_KPA = 5;
/** From this load or pedal (%) on, a downshift is made by letting the off-going clutch slip; below, by the on-coming one. */
export const POWER_DOWNSHIFT_LOAD = 10;
const POWER_DOWNSHIFT_PEDAL = 25;
/** Departure from the old line at which the on-coming clutch is known to have taken over (rpm). */
const TAKEN_OVER_RPM = 40;
const SYNC_RPM = 35;
/** How far ahead the on-coming clutch of a power downshift is called, for the lag of its pressure (s). */
const APPLY_LEAD_S = 0.05;
const LOCK_RAMP_S = 0.12;
const LOCK_LEAST_S = 0.16;
/** An inertia phase longer than this is brought to its end by force. */
const PATIENCE_S = 0.9;
const FORCED_RAMP_KPA_PER_S = 1500;
const GIVE_UP_S = 3.2;
/** Above the old line by this in an upshift, the unit sees a flare and adds torque at this rate (rpm, N·m/s). */
const FLARE_SEEN_RPM = 60;
const FLARE_REACTION_NM_PER_S = 350;

/** What the control unit knows when it commands a shift. */
export interface SequenceStart {
  readonly timeS: number;
  readonly fromRatio: number;
  readonly toRatio: number;
  /** Pressure commanded of the off-going clutch until now (kPa). */
  readonly offStartKpa: number;
  readonly point: LivePoint;
}

/** What it sees in each control cycle. */
export interface SequenceView {
  readonly timeS: number;
  readonly cycleS: number;
  readonly point: LivePoint;
  readonly linePressureKpa: number;
}

/**
 * The control unit's course of one shift: fill; torque passes in the torque phase; the governing clutch slips at the
 * commanded pressure in the inertia phase; at synchronisation the on-coming clutch goes to line pressure. The
 * governing clutch is the on-coming one, or the off-going one in a downshift under power. The command for an on-coming
 * clutch follows the operating point until it has taken over, since torque is no measure of load while speeds change.
 * Called once per control cycle; `onKpa` and `offKpa` are the commands.
 */
export class ShiftSequence {
  phase: ShiftPhase = 'fill';
  onKpa = 0;
  offKpa: number;
  /** Pressure that the rule commands now, and the last one before the governing clutch began to slip (kPa). */
  commandedKpa: number;
  commandedAtSlipKpa: number;
  readonly rampKpaPerS: number;
  readonly governedBy: 'oncoming' | 'offgoing';
  readonly start: SequenceStart;
  readonly #tables: ShiftTables;
  readonly #isUp: boolean;
  readonly #kissKpa: number;
  readonly #offReturnKpa: number;
  readonly #offNmPerKpa: number;
  readonly #onNmPerKpa: number;
  #reactionKpa = 0;
  readonly #fillS: number;
  readonly #fillKpa: number;
  readonly #releaseS: number;
  #isTakenOver = false;
  #phaseStartS: number;
  #phaseOnKpa = 0;
  #phaseOffKpa: number;
  #inputRpm: number;

  constructor(gearbox: Gearbox, exchange: Exchange, tables: ShiftTables, start: SequenceStart) {
    const { point } = start;
    const off = gearbox.clutches[exchange.offgoing];
    const on = gearbox.clutches[exchange.oncoming];
    this.start = start;
    this.#tables = tables;
    this.#isUp = start.toRatio < start.fromRatio;
    const isUnderPower = (point.load ?? 0) >= POWER_DOWNSHIFT_LOAD || (point.pedal ?? 0) >= POWER_DOWNSHIFT_PEDAL;
    this.governedBy = !this.#isUp && isUnderPower ? 'offgoing' : 'oncoming';
    this.commandedKpa = tables.applyPressure(point);
    this.commandedAtSlipKpa = this.commandedKpa;
    this.rampKpaPerS = tables.pressureRamp(point);
    this.#fillS = tables.fillTimeMs(point) / 1000;
    this.#fillKpa = tables.fillPressure(point);
    this.#releaseS = tables.releaseTimeMs(point) / 1000;
    this.#kissKpa = on.returnPressureKpa + KISS_OVER_RETURN_KPA;
    this.#offReturnKpa = off.returnPressureKpa;
    this.#offNmPerKpa = off.gainNmPerKpa * exchange.offgoingLever;
    this.#onNmPerKpa = on.gainNmPerKpa * exchange.oncomingLever;
    this.#phaseStartS = start.timeS;
    this.#phaseOffKpa = start.offStartKpa;
    this.offKpa = start.offStartKpa;
    this.#inputRpm = point.inputSpeed ?? 0;
  }

  /** Time since the command (s). */
  elapsed(timeS: number): number {
    return timeS - this.start.timeS;
  }

  update(view: SequenceView): void {
    const { timeS, point } = view;
    const inputRpm = point.inputSpeed ?? 0;
    const outputRpm = point.outputSpeed ?? 0;
    const departureRpm = inputRpm - this.start.toRatio * outputRpm;
    const rateRpmPerS = (inputRpm - this.#inputRpm) / view.cycleS;
    this.#inputRpm = inputRpm;
    const oldDepartureRpm = inputRpm - this.start.fromRatio * outputRpm;
    this.#follow(point, oldDepartureRpm);
    this.#react(oldDepartureRpm, view.cycleS);
    if (this.#isSynchronised(departureRpm, rateRpmPerS)) this.#enter('lock', timeS);
    const inPhaseS = timeS - this.#phaseStartS;
    switch (this.phase) {
      case 'fill':
        return this.#fill(timeS, inPhaseS, this.#holdKpa(point));
      case 'torque':
        return this.#passTorque(timeS, inPhaseS, this.#holdKpa(point));
      case 'inertia':
        return this.#slip(timeS, inPhaseS);
      case 'lock':
        return this.#lock(inPhaseS, Math.abs(departureRpm), view);
      case 'done':
        return;
      default:
        this.phase satisfies never;
    }
  }

  #follow(point: LivePoint, oldDepartureRpm: number): void {
    if (this.phase === 'lock') return;
    this.#isTakenOver ||= Math.abs(oldDepartureRpm) > TAKEN_OVER_RPM;
    if (this.governedBy === 'oncoming') this.#isTakenOver ||= this.phase === 'inertia';
    if (this.#isTakenOver) return;
    this.commandedKpa = this.#tables.applyPressure(point);
    this.commandedAtSlipKpa = this.commandedKpa;
  }

  /** More pressure for as long as the input speed runs away. */
  #react(oldDepartureRpm: number, cycleS: number): void {
    const mayFlare = this.#isUp && (this.phase === 'torque' || this.phase === 'inertia');
    if (!mayFlare || oldDepartureRpm < FLARE_SEEN_RPM) return;
    this.#reactionKpa += (FLARE_REACTION_NM_PER_S / this.#onNmPerKpa) * cycleS;
  }

  /** Pressure with which the off-going clutch is kept ready. */
  #holdKpa(point: LivePoint): number {
    const heldKpa = this.#offReturnKpa + this.#tables.holdTorqueNm(point) / this.#offNmPerKpa;
    return Math.min(this.start.offStartKpa, heldKpa);
  }

  #isSynchronised(departureRpm: number, rateRpmPerS: number): boolean {
    if (this.phase !== 'torque' && this.phase !== 'inertia') return false;
    if (this.governedBy === 'offgoing') return departureRpm + rateRpmPerS * APPLY_LEAD_S > -SYNC_RPM;
    return this.#isUp ? departureRpm < SYNC_RPM : departureRpm > -SYNC_RPM;
  }

  #fill(timeS: number, inPhaseS: number, holdKpa: number): void {
    this.onKpa = this.#fillKpa;
    this.offKpa = ramp(this.#phaseOffKpa, holdKpa, inPhaseS / this.#fillS);
    if (inPhaseS >= this.#fillS) this.#enter('torque', timeS);
  }

  #passTorque(timeS: number, inPhaseS: number, holdKpa: number): void {
    const share = inPhaseS / this.#releaseS;
    if (this.governedBy === 'oncoming') {
      this.onKpa = ramp(this.#kissKpa, this.commandedKpa, share) + this.#reactionKpa;
      this.offKpa = share < 1 ? ramp(holdKpa, this.#offReturnKpa, share) : 0;
    } else {
      this.onKpa = this.#kissKpa;
      this.offKpa = ramp(holdKpa, this.commandedKpa, share);
    }
    if (share >= 1) this.#enter('inertia', timeS);
  }

  #slip(timeS: number, inPhaseS: number): void {
    const forcedS = Math.max(0, inPhaseS - PATIENCE_S);
    const rampKpa = this.rampKpaPerS * inPhaseS + FORCED_RAMP_KPA_PER_S * forcedS;
    if (this.governedBy === 'oncoming') {
      this.onKpa = this.commandedKpa + rampKpa + this.#reactionKpa;
      this.offKpa = 0;
    } else {
      // With the pedal lifted meanwhile nothing drives the input up: then the on-coming clutch has to.
      this.onKpa = this.#kissKpa + FORCED_RAMP_KPA_PER_S * forcedS;
      this.offKpa = Math.max(0, this.commandedKpa - rampKpa);
    }
    if (this.elapsed(timeS) > GIVE_UP_S) this.#enter('lock', timeS);
  }

  #lock(inPhaseS: number, departureRpm: number, view: SequenceView): void {
    const share = inPhaseS / LOCK_RAMP_S;
    this.onKpa = ramp(this.#phaseOnKpa, view.linePressureKpa, share);
    this.offKpa = ramp(this.#phaseOffKpa, 0, 1.5 * share);
    const isMade = departureRpm < SYNC_RPM || this.elapsed(view.timeS) > GIVE_UP_S;
    if (inPhaseS >= LOCK_LEAST_S && isMade) this.phase = 'done';
  }

  #enter(phase: ShiftPhase, timeS: number): void {
    this.phase = phase;
    this.#phaseStartS = timeS;
    this.#phaseOnKpa = this.onKpa;
    this.#phaseOffKpa = this.offKpa;
  }
}

function ramp(from: number, to: number, share: number): number {
  return from + (to - from) * Math.min(1, share);
}

import type { ShiftKind } from '@syncline/calibration';
import type { Car } from './car.js';
import { ClutchActuator } from './clutch-actuator.js';
import { pumpTorque, torqueRatio } from './converter.js';
import type { EnergyBalance, FastSignals } from './drive-trace.js';
import { type FluidEffects, fluidEffects } from './fluid.js';
import { type FrictionContact, FrictionStep } from './friction-step.js';
import type { Gearbox } from './gearbox.js';
import { radPerS, toRpm } from './units.js';
import { metresPerRad, rollingForce, vehicleInertia } from './vehicle.js';

const ENGINE = 0;
const INPUT = 1;
const OUTPUT = 2;
const LOCK_UP = 0;
const OFFGOING = 1;
const ONCOMING = 2;
const BRAKE = 3;

/** Time constants at 90 °C of clutch pressure and of the lock-up clutch (s). */
const PRESSURE_LAG_S = 0.022;
const LOCK_UP_LAG_S = 0.06;
/** The lock-up clutch carries from this duty (%) on. */
const LOCK_UP_KISS_DUTY = 8;
const LOCK_UP_NM_PER_DUTY = 9;
/** Viscosity is worked out anew when the fluid has warmed by this (K). */
const SAME_TEMPERATURE_K = 0.05;
/** Share of commanded pressure that is missing at an engine speed of 800 rpm; none is from 1800 rpm on. */
const DROOP_AT_IDLE = 0.05;

/** Share of a commanded pressure that arrives at an engine speed: the engine drives the pump. */
export function supplyShare(engineRpm: number): number {
  return 1 - DROOP_AT_IDLE * Math.min(1.2, Math.max(0, (1800 - engineRpm) / 1000));
}

/** How a powertrain begins: in the old gear of a shift, on its line. */
export interface PowertrainStart {
  /** A shift that leaves the gear to begin in; its off-going clutch holds. */
  readonly shift: ShiftKind;
  readonly outputRpm: number;
  readonly engineRpm: number;
  readonly engineNm: number;
}

/**
 * Engine, converter with lock-up clutch, input shaft, the off-going and the on-coming clutch, and the vehicle
 * (methods.md 10). A clutch of gear g is a friction contact between input and output whose slip is the departure
 * n_in − i_g·n_out: exact for a gearset whose inner members weigh nothing. In a steady gear its clutch stands in the
 * place of the off-going one.
 */
export class Powertrain {
  /** Commands, held between control cycles: engine torque, clutch pressures, lock-up duty, torques on the output. */
  engineDemandNm = 0;
  offKpa = 0;
  onKpa = 0;
  lockUpDuty = 0;
  brakeNm = 0;
  roadNm = 0;
  readonly energy: EnergyBalance = {
    engineWorkJ: 0,
    kineticChangeJ: 0,
    converterLossJ: 0,
    lockUpHeatJ: 0,
    clutchHeatJ: 0,
    brakeHeatJ: 0,
    roadWorkJ: 0,
  };
  readonly #gearbox: Gearbox;
  readonly #car: Car;
  readonly #stepS: number;
  readonly #mechanics: FrictionStep;
  readonly #off = new ClutchActuator();
  readonly #on = new ClutchActuator();
  readonly #rollingNm: number;
  #offClutch: string;
  #onClutch: string | null = null;
  #offDesignGain: number;
  #onDesignGain = 0;
  #offGain = 0;
  #onGain = 0;
  #engineNm = 0;
  #actualDuty = 0;
  #turbineNm = 0;
  #effects: FluidEffects = fluidEffects(90);
  #effectsAtC = 90;
  readonly #startKineticJ: number;

  /** @param start default: at rest in first gear with the engine idling */
  constructor(gearbox: Gearbox, car: Car, stepS: number, start: PowertrainStart = atRest(gearbox, car)) {
    this.#gearbox = gearbox;
    this.#car = car;
    this.#stepS = stepS;
    this.#rollingNm = rollingForce(car.vehicle) * metresPerRad(car.vehicle);
    const inertias = [car.engine.inertiaKgM2, car.inputInertiaKgM2, vehicleInertia(car.vehicle)];
    const lockUp = { bodyA: ENGINE, factorA: 1, bodyB: INPUT, factorB: -1 };
    const brake = { bodyA: OUTPUT, factorA: 1, bodyB: OUTPUT, factorB: 0 };
    const { from } = start.shift;
    this.#mechanics = new FrictionStep(inertias, [lockUp, this.#path(from), this.#path(1), brake], stepS);
    this.#mechanics.speeds[ENGINE] = radPerS(start.engineRpm);
    this.#mechanics.speeds[INPUT] = radPerS(start.outputRpm * gearbox.platform.gears[from - 1].ratio);
    this.#mechanics.speeds[OUTPUT] = radPerS(start.outputRpm);
    this.#engineNm = start.engineNm;
    this.#startKineticJ = this.#kineticEnergy();
    const exchange = gearbox.exchanges[start.shift.id];
    this.#offClutch = exchange.offgoing;
    this.#offDesignGain = this.#designGain(exchange.offgoing, exchange.offgoingLever);
    this.#off.attach(gearbox.clutches[exchange.offgoing].returnPressureKpa, 1, 500);
  }

  get engineRpm(): number {
    return toRpm(this.#mechanics.speeds[ENGINE]);
  }

  get inputRpm(): number {
    return toRpm(this.#mechanics.speeds[INPUT]);
  }

  get outputRpm(): number {
    return toRpm(this.#mechanics.speeds[OUTPUT]);
  }

  /** Torque of converter and lock-up clutch on the input shaft (N·m). */
  get inputTorqueNm(): number {
    return this.#turbineNm + this.#mechanics.torques[LOCK_UP];
  }

  /** Heat made by converter and clutches since the start (J). */
  get gearboxHeatJ(): number {
    const { heats } = this.#mechanics;
    return this.energy.converterLossJ + heats[LOCK_UP] + heats[OFFGOING] + heats[ONCOMING];
  }

  /** Input torque per pressure over the return spring (N·m/kPa) that a clutch of the running shift really carries. */
  realGain(which: 'oncoming' | 'offgoing'): number {
    return which === 'oncoming' ? this.#onGain : this.#offGain;
  }

  /** Mounts the two clutches of a shift; the on-coming one is empty. */
  startShift(shift: ShiftKind): void {
    const exchange = this.#gearbox.exchanges[shift.id];
    this.#offClutch = exchange.offgoing;
    this.#offDesignGain = this.#designGain(exchange.offgoing, exchange.offgoingLever);
    this.#onClutch = exchange.oncoming;
    this.#onDesignGain = this.#designGain(exchange.oncoming, exchange.oncomingLever);
    const { clutches } = this.#gearbox;
    this.#off.attach(clutches[exchange.offgoing].returnPressureKpa, this.#off.fill, this.#off.pressureKpa);
    this.#on.attach(clutches[exchange.oncoming].returnPressureKpa, 0, 0);
    this.#mechanics.setContact(ONCOMING, this.#path(shift.to), 0);
  }

  /** The on-coming clutch becomes the clutch of the gear; whatever the off-going one still carries is dropped. */
  endShift(gear: number): void {
    if (this.#onClutch === null) return;
    this.#mechanics.setContact(OFFGOING, this.#path(gear), this.#mechanics.torques[ONCOMING]);
    this.#offClutch = this.#onClutch;
    this.#offDesignGain = this.#onDesignGain;
    this.#off.attach(this.#gearbox.clutches[this.#offClutch].returnPressureKpa, this.#on.fill, this.#on.pressureKpa);
    this.abandonShift();
  }

  /** Drops the on-coming clutch and stays in the gear of the off-going one. */
  abandonShift(): void {
    this.#onClutch = null;
    this.#onDesignGain = 0;
    this.#mechanics.setContact(ONCOMING, this.#path(1), 0);
    this.#mechanics.capacities[ONCOMING] = 0;
  }

  /** Advances by a number of steps and writes the fast signals from `index` on. Fluid temperature in °C. */
  advance(steps: number, temperatureC: number, fast: FastSignals, index: number): void {
    this.#setFluid(temperatureC);
    const stepS = this.#stepS;
    const supply = supplyShare(this.engineRpm);
    const engineBlend = stepS / (this.#car.engine.torqueLagS + stepS);
    const dutyBlend = stepS / (LOCK_UP_LAG_S + stepS);
    this.#mechanics.capacities[BRAKE] = this.brakeNm + this.#rollingNm;
    for (let i = index; i < index + steps; i++) {
      this.#engineNm += (this.engineDemandNm - this.#engineNm) * engineBlend;
      this.#actualDuty += (this.lockUpDuty - this.#actualDuty) * dutyBlend;
      this.#off.advance(this.offKpa * supply, stepS);
      if (this.#onClutch !== null) this.#on.advance(this.onKpa * supply, stepS);
      this.#step(fast, i);
    }
    this.#balance();
  }

  #step(fast: FastSignals, index: number): void {
    const { speeds, external, capacities, torques } = this.#mechanics;
    const { energy } = this;
    const { converter } = this.#car;
    const halfStepS = 0.5 * this.#stepS;
    const engine = speeds[ENGINE];
    const input = speeds[INPUT];
    const output = speeds[OUTPUT];
    const pump = pumpTorque(converter, engine, input);
    const turbine = pump > 0 ? pump * torqueRatio(converter, input / engine) : pump;
    capacities[LOCK_UP] = Math.max(0, this.#actualDuty - LOCK_UP_KISS_DUTY) * LOCK_UP_NM_PER_DUTY;
    capacities[OFFGOING] = this.#off.effectiveKpa * this.#offGain;
    capacities[ONCOMING] = this.#on.effectiveKpa * this.#onGain;
    external[ENGINE] = this.#engineNm - pump;
    external[INPUT] = turbine;
    external[OUTPUT] = -this.roadNm;
    fast.engineRpm[index] = toRpm(engine);
    fast.inputRpm[index] = toRpm(input);
    fast.outputRpm[index] = toRpm(output);
    this.#mechanics.advance();
    this.#turbineNm = turbine;
    fast.inputTorqueNm[index] = turbine + torques[LOCK_UP];
    fast.oncomingNm[index] = torques[ONCOMING];
    fast.offgoingNm[index] = torques[OFFGOING];
    const engineAngle = (engine + speeds[ENGINE]) * halfStepS;
    energy.engineWorkJ += this.#engineNm * engineAngle;
    energy.converterLossJ += pump * engineAngle - turbine * (input + speeds[INPUT]) * halfStepS;
    energy.roadWorkJ += this.roadNm * (output + speeds[OUTPUT]) * halfStepS;
  }

  #setFluid(temperatureC: number): void {
    const gearbox = this.#gearbox;
    const car = this.#car;
    if (Math.abs(temperatureC - this.#effectsAtC) > SAME_TEMPERATURE_K) {
      this.#effects = fluidEffects(temperatureC);
      this.#effectsAtC = temperatureC;
    }
    const effects = this.#effects;
    const lagS = PRESSURE_LAG_S * effects.lagFactor * car.lagBias;
    const fillS = (clutch: string): number =>
      gearbox.clutches[clutch].fillTimeS * effects.fillTimeFactor * car.fillBias;
    this.#off.setTimes(fillS(this.#offClutch), lagS);
    this.#offGain = this.#offDesignGain * effects.frictionFactor;
    this.#onGain = this.#onDesignGain * effects.frictionFactor;
    if (this.#onClutch !== null) this.#on.setTimes(fillS(this.#onClutch), lagS);
  }

  #balance(): void {
    const { heats } = this.#mechanics;
    this.energy.kineticChangeJ = this.#kineticEnergy() - this.#startKineticJ;
    this.energy.lockUpHeatJ = heats[LOCK_UP];
    this.energy.clutchHeatJ = heats[OFFGOING] + heats[ONCOMING];
    this.energy.brakeHeatJ = heats[BRAKE];
  }

  #kineticEnergy(): number {
    const { speeds, inertias } = this.#mechanics;
    let energy = 0;
    for (let i = 0; i < speeds.length; i++) energy += 0.5 * inertias[i] * speeds[i] * speeds[i];
    return energy;
  }

  #designGain(clutch: string, lever: number): number {
    return this.#gearbox.clutches[clutch].gainNmPerKpa * lever * (this.#car.clutchGain[clutch] ?? 1);
  }

  #path(gear: number): FrictionContact {
    return { bodyA: INPUT, factorA: 1, bodyB: OUTPUT, factorB: -this.#gearbox.platform.gears[gear - 1].ratio };
  }
}

function atRest({ platform }: Gearbox, car: Car): PowertrainStart {
  const shift = platform.shifts.find(({ id }) => id === '1-2');
  if (shift === undefined) throw new Error(`Platform '${platform.id}' has no shift '1-2'.`);
  return { shift, outputRpm: 0, engineRpm: car.engine.idleRpm, engineNm: 0 };
}

import type { Car } from './car.js';
import { dragTorque, fullTorque, steadyTorque } from './engine.js';
import { type Route, seriesAt } from './route.js';
import { airAndGradeForce, metresPerRad, rollingForce } from './vehicle.js';

const PREVIEW_S = 0.9;
/** Time constants of foot on pedal and of brake (s). */
const PEDAL_LAG_S = 0.45;
const BRAKE_LAG_S = 0.15;
const MOST_BRAKING = 4;
/** Below this a driver who wants to stand just holds the brake (m/s). */
const STOPPING_MPS = 0.6;
const HOLD_FORCE_N = 4000;

/** A driver who follows a route by looking a little ahead and asking for the force that the next second needs. */
export class Driver {
  pedal = 0;
  /** Braking force at the wheels (N). */
  brakeN = HOLD_FORCE_N;
  readonly #car: Car;
  readonly #route: Route;

  constructor(car: Car, route: Route) {
    this.#car = car;
    this.#route = route;
  }

  get isBraking(): boolean {
    return this.brakeN > 100;
  }

  grade(timeS: number): number {
    return seriesAt(this.#route.grade, this.#route.stepS, timeS);
  }

  /** @param engineToWheel wheel force per engine torque (1/m), converter included */
  update(timeS: number, cycleS: number, speed: number, engineRpm: number, engineToWheel: number): void {
    const { vehicle, engine } = this.#car;
    const wanted = seriesAt(this.#route.speed, this.#route.stepS, timeS + PREVIEW_S);
    const acceleration = Math.max(-MOST_BRAKING, (wanted - speed) / PREVIEW_S);
    const resistance = airAndGradeForce(vehicle, speed, this.grade(timeS)) + rollingForce(vehicle);
    const force = vehicle.massKg * acceleration + resistance;
    const drag = dragTorque(engine, engineRpm);
    // At walking pace the idling engine pushes: the brake must hold that too.
    const coastForce = steadyTorque(engine, 0, engineRpm) * engineToWheel;
    const full = fullTorque(engine, engineRpm) + drag;
    const isStanding = wanted < STOPPING_MPS && speed < STOPPING_MPS;
    const pedal = isStanding ? 0 : Math.min(100, Math.max(0, (100 * (force / engineToWheel + drag)) / full));
    const needsBrake = force < coastForce - 0.15 * vehicle.massKg;
    const brakeN = isStanding ? HOLD_FORCE_N : needsBrake ? coastForce - force : 0;
    this.pedal += (pedal - this.pedal) * (cycleS / (PEDAL_LAG_S + cycleS));
    if (this.pedal < 0.3 && pedal === 0) this.pedal = 0;
    this.brakeN += (brakeN - this.brakeN) * (cycleS / (BRAKE_LAG_S + cycleS));
    if (this.brakeN < 20 && brakeN === 0) this.brakeN = 0;
  }

  /** Torque of the brakes at the output shaft (N·m). */
  brakeTorque(): number {
    return this.brakeN * metresPerRad(this.#car.vehicle);
  }
}

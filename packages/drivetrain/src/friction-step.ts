/** A friction contact between two bodies, or a body and the ground: slip = factorA·ω_A + factorB·ω_B. */
export interface FrictionContact {
  readonly bodyA: number;
  readonly factorA: number;
  readonly bodyB: number;
  readonly factorB: number;
}

/** Sweeps end when no torque moves by more than this (N·m): slip errors of some 1e-5 rad/s at steps of 1 ms. */
const TORQUE_TOLERANCE_NM = 2e-3;
const MAX_SWEEPS = 80;

/**
 * Rotating bodies joined by dry friction, stepped implicitly in velocity: at the end of a step each contact either
 * sticks, with |T| ≤ capacity, or slips with T = ±capacity against the slip. Sticking is thus exact, without a stiff
 * spring or a regularised slope, and the step length only rounds the moment of locking. Solved by projected
 * Gauss–Seidel sweeps starting from the torques of the step before. Allocates nothing per step.
 */
export class FrictionStep {
  /** rad/s by body. */
  readonly speeds: Float64Array;
  /** kg·m² by body. */
  readonly inertias: Float64Array;
  /** Torque from outside on each body (N·m), set before each step. */
  readonly external: Float64Array;
  /** Most torque that each contact can carry (N·m), set before each step. */
  readonly capacities: Float64Array;
  /** Torque of each contact in the last step (N·m), positive against positive slip. */
  readonly torques: Float64Array;
  /** Heat made by each contact since the start (J). */
  readonly heats: Float64Array;
  readonly #stepS: number;
  readonly #bodyA: Int32Array;
  readonly #bodyB: Int32Array;
  readonly #factorA: Float64Array;
  readonly #factorB: Float64Array;
  /** Change of speed of either body per torque of the contact, over one step (rad/s per N·m). */
  readonly #pushA: Float64Array;
  readonly #pushB: Float64Array;
  /** Torque that takes away one rad/s of slip within a step (N·m·s/rad). */
  readonly #stoppingTorque: Float64Array;
  readonly #startSlips: Float64Array;

  constructor(inertias: readonly number[], contacts: readonly FrictionContact[], stepS: number) {
    this.inertias = Float64Array.from(inertias);
    this.speeds = new Float64Array(inertias.length);
    this.external = new Float64Array(inertias.length);
    this.#stepS = stepS;
    const count = contacts.length;
    this.capacities = new Float64Array(count);
    this.torques = new Float64Array(count);
    this.heats = new Float64Array(count);
    this.#bodyA = new Int32Array(count);
    this.#bodyB = new Int32Array(count);
    this.#factorA = new Float64Array(count);
    this.#factorB = new Float64Array(count);
    this.#pushA = new Float64Array(count);
    this.#pushB = new Float64Array(count);
    this.#stoppingTorque = new Float64Array(count);
    this.#startSlips = new Float64Array(count);
    for (let i = 0; i < count; i++) this.setContact(i, contacts[i], 0);
  }

  /** Puts another contact in a place, for instance the clutch of the next gear, with the torque that it carries. */
  setContact(index: number, contact: FrictionContact, torqueNm: number): void {
    const { bodyA, factorA, bodyB, factorB } = contact;
    this.#bodyA[index] = bodyA;
    this.#bodyB[index] = bodyB;
    this.#factorA[index] = factorA;
    this.#factorB[index] = factorB;
    this.#pushA[index] = (this.#stepS * factorA) / this.inertias[bodyA];
    this.#pushB[index] = (this.#stepS * factorB) / this.inertias[bodyB];
    this.#stoppingTorque[index] = 1 / (factorA * this.#pushA[index] + factorB * this.#pushB[index]);
    this.torques[index] = torqueNm;
  }

  /** Slip of a contact (rad/s). */
  slip(index: number): number {
    return (
      this.#factorA[index] * this.speeds[this.#bodyA[index]] + this.#factorB[index] * this.speeds[this.#bodyB[index]]
    );
  }

  /** Advances all bodies by one step. */
  advance(): void {
    const { speeds, external, inertias, torques, capacities, heats } = this;
    const startSlips = this.#startSlips;
    for (let i = 0; i < torques.length; i++) startSlips[i] = this.slip(i);
    for (let i = 0; i < speeds.length; i++) speeds[i] += (this.#stepS * external[i]) / inertias[i];
    for (let i = 0; i < torques.length; i++) {
      const torque = clampTorque(torques[i], capacities[i]);
      torques[i] = torque;
      if (torque !== 0) this.#push(i, torque);
    }
    let largestMove = Number.POSITIVE_INFINITY;
    for (let sweep = 0; sweep < MAX_SWEEPS && largestMove > TORQUE_TOLERANCE_NM; sweep++) largestMove = this.#sweep();
    for (let i = 0; i < torques.length; i++) {
      if (torques[i] !== 0) heats[i] += torques[i] * 0.5 * (startSlips[i] + this.slip(i)) * this.#stepS;
    }
  }

  #sweep(): number {
    const { torques, capacities } = this;
    let largestMove = 0;
    for (let i = 0; i < torques.length; i++) {
      const capacity = capacities[i];
      if (capacity === 0) continue;
      const torque = clampTorque(torques[i] + this.slip(i) * this.#stoppingTorque[i], capacity);
      const move = torque - torques[i];
      if (move === 0) continue;
      torques[i] = torque;
      this.#push(i, move);
      if (Math.abs(move) > largestMove) largestMove = Math.abs(move);
    }
    return largestMove;
  }

  #push(index: number, torque: number): void {
    this.speeds[this.#bodyA[index]] -= this.#pushA[index] * torque;
    this.speeds[this.#bodyB[index]] -= this.#pushB[index] * torque;
  }
}

function clampTorque(torque: number, capacity: number): number {
  return torque > capacity ? capacity : torque < -capacity ? -capacity : torque;
}

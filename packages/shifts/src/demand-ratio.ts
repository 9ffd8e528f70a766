import type { GradingPolicy } from './policy.js';
import { programPolicy, valueAtLoad } from './program-policy.js';
import type { CarFacts, Disturbance, Shift } from './shift.js';

/** y is clipped to this either way (methods.md 5). */
const CLIP = 0.5;
/** Below this share of the rated torque a clutch torque is too small for its logarithm to mean anything. */
const LEAST_TORQUE_SHARE = 0.05;

/**
 * A downshift that is over sooner (s) was pulled up by an on-coming clutch filled too early: the pressure of the off-going
 * one, which could only have held it back, governed nothing.
 */
const LEAST_DOWNSHIFT_S = 0.1;

/** Weight left to a shift by each disturbance; several multiply. */
const DISTURBANCE_WEIGHT: Readonly<Record<Disturbance, number>> = {
  pedalChange: 0.3,
  brake: 0.4,
  gap: 0.2,
  repeatedTime: 0.5,
  clockStep: 0,
  slowSampling: 0.5,
  lockUpMove: 0.6,
};

/** The demand ratio of one shift, or why it has none. */
export type DemandRatio =
  | {
      readonly kind: 'estimate';
      /** ln(T_need/T_got), within ±0.5: positive asks for more pressure. */
      readonly y: number;
      /** 0 to 1. */
      readonly weight: number;
      /** What took from the weight. */
      readonly reasons: readonly (Disturbance | 'clipped')[];
      readonly targetTimeS: number;
      readonly neededTorqueNm: number;
      readonly gotTorqueNm: number;
    }
  | { readonly kind: 'insufficient'; readonly reason: 'notComplete' | 'noTime' | 'noTorque' | 'torqueTooSmall' };

/**
 * How much more or less the controlling clutch should have carried (methods.md 5). Upshift: T = T_in + J·Δω/t, carried
 * by the oncoming clutch. Downshift: T = T_in − J·Δω/t, the sign of the inertia reversed: with power on, the offgoing
 * clutch holds the input back (too quick asks for more); coasting, the oncoming one pulls it up and T is negative, so
 * magnitudes are compared. A needed torque that is too small gives no ratio, and none one that was got the
 * other way; one that was got but is too small counts as the least that is not.
 */
export function demandRatio(shift: Shift, car: CarFacts, policy: GradingPolicy, programId: string | null): DemandRatio {
  const { measures, at } = shift;
  if (shift.outcome !== 'complete') return { kind: 'insufficient', reason: 'notComplete' };
  const { actualTimeS, speedStepRpm } = measures;
  const leastTimeS = shift.direction === 'down' ? LEAST_DOWNSHIFT_S : 0;
  if (actualTimeS === null || speedStepRpm === null || !(actualTimeS > leastTimeS))
    return { kind: 'insufficient', reason: 'noTime' };
  if (at.inputTorqueNm === null || at.load === null) return { kind: 'insufficient', reason: 'noTorque' };
  const targetTimeS = valueAtLoad(programPolicy(policy, programId).targetInertiaTimeS, at.load);
  const stepRadPerS = (Math.PI / 30) * speedStepRpm * (shift.direction === 'up' ? 1 : -1);
  const inertiaNms = car.inputInertiaKgM2 * stepRadPerS;
  const neededTorqueNm = at.inputTorqueNm + inertiaNms / targetTimeS;
  const leastNm = LEAST_TORQUE_SHARE * car.ratedInputTorqueNm;
  if (Math.abs(neededTorqueNm) < leastNm) return { kind: 'insufficient', reason: 'torqueTooSmall' };
  const way = Math.sign(neededTorqueNm);
  const got = way * (at.inputTorqueNm + inertiaNms / actualTimeS);
  if (got <= 0) return { kind: 'insufficient', reason: 'torqueTooSmall' };
  const gotTorqueNm = way * Math.max(leastNm, got);
  const y = Math.log(neededTorqueNm / gotTorqueNm);
  const isClipped = Math.abs(y) > CLIP;
  return {
    kind: 'estimate',
    y: Math.min(Math.max(y, -CLIP), CLIP),
    weight: shift.disturbances.reduce((weight, disturbance) => weight * DISTURBANCE_WEIGHT[disturbance], 1),
    reasons: isClipped ? [...shift.disturbances, 'clipped'] : shift.disturbances,
    targetTimeS,
    neededTorqueNm,
    gotTorqueNm,
  };
}

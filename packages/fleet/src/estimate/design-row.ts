import { CalibrationError, evaluateRule, type OperatingPoint, ruleGradient } from '@syncline/calibration';
import type { NodeDesign } from './node-design.js';

/**
 * One row of the design matrix of methods.md 6. A shift's response answers to node k with `gain · shares[k]`:
 * ∂ ln T/∂ ln v_k = (p/(p − p_ret)) · ∂ ln p/∂ ln v_k, since a clutch carries nothing below its return pressure.
 * Row and response of a shift at low pressure are both made smaller, so that it scatters as the others do.
 */
export interface DesignRow {
  readonly nodes: readonly number[];
  /** ∂ ln p/∂ ln v_k. Those of each table of a product sum to 1, so they also share out the shift as evidence. */
  readonly shares: readonly number[];
  /** p/(p − p_ret) up to `USUAL_GAIN`, beyond it the geometric mean of both. */
  readonly gain: number;
}

export type DesignRowResult =
  | ({
      readonly kind: 'row';
      /** False where the return spring takes all the pressure: such a shift can ask for more, never for less. */
      readonly isCarrying: boolean;
      /** p/(p − p_ret), from 1 to `HIGHEST_GAIN`. */
      readonly torqueGain: number;
      /** Commanded pressure over what the return spring takes; at least a quarter of it. */
      readonly overReturnKpa: number;
    } & DesignRow)
  | {
      readonly kind: 'insufficient';
      /** The point lacks a coordinate, asks for a variant that the content has not, or commands nothing. */
      readonly reason: 'missingCoordinate' | 'missingVariant' | 'carriesNothing';
    };

/**
 * At the return pressure the torque is too uncertain to divide by, and a shift hardly tells one low pressure from another:
 * the step there and below stays at least y/4.
 */
export const HIGHEST_GAIN = 4;

/**
 * Up to this gain responses scatter about evenly. Beyond it they do so in proportion to the gain: what a log tells of a
 * shift at low pressure is a time and not a ratio of torques. Unscaled, a few of them would outweigh all others.
 */
const USUAL_GAIN = 1.4;

/** The gain that a row counts with. */
export function countedGain(torqueGain: number): number {
  return torqueGain <= USUAL_GAIN ? torqueGain : Math.sqrt(USUAL_GAIN * torqueGain);
}

/** Makes rows of a design; remembers where each table variant starts. */
export function designRows(design: NodeDesign): (point: OperatingPoint) => DesignRowResult {
  const { layout, content, rule } = design;
  const starts = new Map(design.spans.map(({ spec, variant, start }) => [`${spec.id}/${variant}`, start]));
  const returnPressure = rule.returnPressureKpa ?? 0;
  const row = (point: OperatingPoint): DesignRowResult => {
    const gradient = ruleGradient(layout, content, rule.id, point);
    const commanded = evaluateRule(layout, content, rule.id, point).value;
    const overReturn = Math.max(commanded - returnPressure, commanded / HIGHEST_GAIN);
    return {
      kind: 'row',
      nodes: gradient.map(({ tableId, variant, nodeIndex }) => (starts.get(`${tableId}/${variant}`) ?? 0) + nodeIndex),
      shares: gradient.map(({ dLnCommandedDLnNode }) => dLnCommandedDLnNode),
      gain: countedGain(commanded / overReturn),
      torqueGain: commanded / overReturn,
      isCarrying: commanded > returnPressure,
      overReturnKpa: overReturn,
    };
  };
  return (point) => {
    try {
      return row(point);
    } catch (error) {
      if (!(error instanceof CalibrationError)) throw error;
      if (error.code === 'gradientUndefined') return { kind: 'insufficient', reason: 'carriesNothing' };
      if (error.code === 'missingCoordinate' || error.code === 'missingVariant') {
        return { kind: 'insufficient', reason: error.code };
      }
      throw error;
    }
  };
}

/**
 * The response that a demand ratio y stands for: gain · ln(wanted/commanded pressure). For a torque in proportion to
 * p − p_ret the wanted pressure is p·(1 + (e^y − 1)·(p − p_ret)/p), so that the step in ln p is y·(p − p_ret)/p of
 * methods.md 5 to first order, and right for large y too.
 */
export function pressureResponse(y: number, { gain, torqueGain }: Pick<CarryingRow, 'gain' | 'torqueGain'>): number {
  return gain * Math.log1p(Math.expm1(y) / torqueGain);
}

export type CarryingRow = Extract<DesignRowResult, { kind: 'row' }>;

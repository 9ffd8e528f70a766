import type { Platform } from '@syncline/calibration';
import {
  countShift,
  designRows,
  fillObserver,
  mergeShiftMoments,
  type NodeDesign,
  operatingPointOf,
  type ShiftMoments,
  type ShiftObservation,
  type ShiftRows,
  shiftMomentsOf,
  shiftResponse,
  shiftRowsOf,
} from '@syncline/fleet';
import { type GradingPolicy, programPolicy, valueAtLoad } from '@syncline/shifts';
import type { Adaptation, EvidenceShift } from '@syncline/store';
import type { Subject } from '../../services/proposals/subjects.js';
import { learntFor, observeLearnt } from './learnt-values.js';

export interface CarEvidence {
  readonly shifts: readonly EvidenceShift[];
  /** Newest reading first. */
  readonly adaptations: readonly Adaptation[];
}

export interface MomentsContext {
  readonly platform: Platform;
  readonly subject: Subject;
  /** Of the revision that the shifts were driven under. */
  readonly design: NodeDesign;
  readonly policyOf: (version: number) => GradingPolicy;
}

/** What the estimator needs of a car: sums, and the rows of its shifts that they are the sums of. */
export interface CarSums {
  readonly moments: ShiftMoments;
  /** Without the learnt values, which are no shifts and never wild. */
  readonly rows: ShiftRows;
}

/**
 * Moments and rows of one car's shifts under one revision. They depend on the stored shifts, the adaptation values and
 * the revision alone: a log that goes leaves no trace, whatever was added between.
 */
export function sumsOfShifts(evidence: CarEvidence, context: MomentsContext): CarSums {
  const isFill = context.subject.kind === 'fill';
  const observations = isFill ? fillObservations(evidence, context) : pressureObservations(evidence, context);
  const driven = shiftMomentsOf(observations);
  const [newest] = isFill ? [] : evidence.adaptations;
  return {
    moments: newest ? mergeShiftMoments(driven, shiftMomentsOf(observeLearnt(newest, driven, context))) : driven,
    rows: shiftRowsOf(observations),
  };
}

function pressureObservations(evidence: CarEvidence, context: MomentsContext): ShiftObservation[] {
  const { platform, design, policyOf } = context;
  const rowAt = designRows(design);
  const returnPressureKpa = design.rule.returnPressureKpa ?? 0;
  return evidence.shifts.flatMap((one) => {
    const { shift, program, grades, demandRatio, demandWeight, drivenAtMs } = one;
    const point = operatingPointOf(shift, platform, program);
    const row = rowAt(point);
    if (row.kind === 'insufficient') return [];
    const reading = evidence.adaptations.find(({ readAtMs }) => readAtMs <= drivenAtMs);
    const appliedTrimLn = reading ? learntFor(reading, design, point.clutch, row) : 0;
    const known = demandRatio !== null && demandWeight !== null ? { y: demandRatio, weight: demandWeight } : null;
    const targets = programPolicy(policyOf(one.policyVersion), program).targetInertiaTimeS;
    return [
      {
        shiftKind: shift.kind,
        row,
        // As `observeShift` of packages/fleet, from the demand ratio and the grades that the shift is kept with.
        ...shiftResponse(shift, known, row, {
          targetTimeS: valueAtLoad(targets, shift.at.load ?? 0),
          appliedTrimLn,
          returnPressureKpa,
          inputInertiaKgM2: platform.inputInertiaKgM2,
        }),
        counts: countShift(grades),
      },
    ];
  });
}

function fillObservations({ shifts }: CarEvidence, context: MomentsContext): ShiftObservation[] {
  const { platform, design, policyOf } = context;
  const observe = fillObserver(design);
  return shifts.flatMap(({ shift, program, policyVersion }) => {
    const found = observe(shift, { platform, policy: policyOf(policyVersion), programId: program });
    return found.kind === 'observation' ? [found] : [];
  });
}

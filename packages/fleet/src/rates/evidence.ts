/** The least evidence a verdict is given on. */
export interface EvidenceThresholds {
  /** Least number of shifts. */
  readonly minShifts: number;
  /** Least number of vehicles that drove them. */
  readonly minVehicles: number;
}

/** As few as a rate is shown on: common practice of thirty, and three cars so that one car is not the fleet. */
export const DEFAULT_EVIDENCE: EvidenceThresholds = { minShifts: 30, minVehicles: 3 };

/** The thresholds with defaults filled in. */
export function evidenceOf({
  minShifts = DEFAULT_EVIDENCE.minShifts,
  minVehicles = DEFAULT_EVIDENCE.minVehicles,
}: Partial<EvidenceThresholds>): EvidenceThresholds {
  return { minShifts, minVehicles };
}

/** "Cannot tell" with what was found and what was needed. */
export interface TooFew {
  readonly kind: 'insufficient';
  readonly reason: 'tooFewShifts' | 'tooFewVehicles';
  readonly shifts: number;
  readonly vehicles: number;
  readonly neededShifts: number;
  readonly neededVehicles: number;
}

/** The shortfall of evidence, or null where there is enough. */
export function findShortfall(
  found: { readonly shifts: number; readonly vehicles: number },
  { minShifts, minVehicles }: EvidenceThresholds,
): TooFew | null {
  if (found.shifts >= minShifts && found.vehicles >= minVehicles) return null;
  return {
    kind: 'insufficient',
    reason: found.shifts < minShifts ? 'tooFewShifts' : 'tooFewVehicles',
    shifts: found.shifts,
    vehicles: found.vehicles,
    neededShifts: minShifts,
    neededVehicles: minVehicles,
  };
}

/** Plain words for a shortfall. @example 'too few: 7 of 30 shifts' */
export function describeTooFew(shortfall: TooFew): string {
  return shortfall.reason === 'tooFewShifts'
    ? `too few: ${shortfall.shifts} of ${shortfall.neededShifts} shifts`
    : `too few: ${shortfall.vehicles} of ${shortfall.neededVehicles} vehicles`;
}

import type { Departure } from '@syncline/contract';
import { type GradingPolicy, programPolicy, valueAtLoad } from '@syncline/shifts';
import type { StoredShift } from '@syncline/store';

/** A shift with its place in the order of departures. */
export interface RankedShift {
  readonly stored: StoredShift;
  /** Whether it has a grade other than clean. */
  readonly isBeyond: boolean;
  /** Measures with their limits, the one furthest beyond its limit first. */
  readonly departures: readonly Departure[];
}

/**
 * The shifts that departed most, the worst first: those that never reached the new gear, then by how many times a
 * measure is the limit of the policy for their program and load, graded measures before those within their limits;
 * ties in the order of the drive. O(n log n).
 */
export function rankShifts(shifts: readonly StoredShift[], policy: GradingPolicy, count: number): RankedShift[] {
  return shifts
    .map((stored) => ({ ...rankOf(stored, policy), stored }))
    .sort((a, b) => b.rank - a.rank || a.stored.shift.commandS - b.stored.shift.commandS)
    .slice(0, count)
    .map(({ stored, isBeyond, departures }) => ({ stored, isBeyond, departures }));
}

/** Above any number of times that a measure can be its limit. */
const INCOMPLETE_RANK = Number.MAX_SAFE_INTEGER;

function rankOf(stored: StoredShift, policy: GradingPolicy) {
  const departures = departuresOf(stored, policy).sort((a, b) => weight(stored, b) - weight(stored, a));
  const isBeyond = stored.grades.some((grade) => grade !== 'clean');
  const largest = departures[0] ? weight(stored, departures[0]) : 0;
  const rank = stored.grades.includes('incomplete') ? INCOMPLETE_RANK : largest;
  return { isBeyond, departures, rank };
}

/** How many times its limit a measure is; below one where it is not graded, as a flare that was over too soon. */
function weight({ grades }: StoredShift, { measure, value, limit }: Departure): number {
  const times = value / limit;
  return grades.includes(measure) ? times : Math.min(times, 1) / 2;
}

function departuresOf({ shift, program }: StoredShift, policy: GradingPolicy): Departure[] {
  const { measures, at } = shift;
  const limits = programPolicy(policy, program);
  const limitAt = (table: Parameters<typeof valueAtLoad>[0]) =>
    at.load === null ? Math.max(...table.value) : valueAtLoad(table, at.load);
  const known: (Omit<Departure, 'value'> & { readonly value: number | null })[] = [
    { measure: 'flare', unit: 'rpm', value: measures.flareRpm, limit: limits.flareRpm },
    { measure: 'tie-up', unit: 'm/s²', value: measures.tieUpDepth, limit: limits.tieUpDepth },
    { measure: 'harsh', unit: 'm/s³', value: measures.peakJerk, limit: limitAt(limits.harshJerk) },
    {
      measure: 'slow',
      unit: 's',
      value: measures.inertiaTimeS,
      limit: limits.slowFactor * limitAt(limits.targetInertiaTimeS),
    },
  ];
  return known.flatMap(({ value, ...rest }) => (value === null ? [] : [{ ...rest, value }]));
}

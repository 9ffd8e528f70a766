/** A shift and when it was commanded. */
export interface TimedShift {
  /** Shift id such as `3-4`. */
  readonly kind: string;
  readonly timeS: number;
  /** Where it was commanded (rpm), if known. */
  readonly outputSpeedRpm?: number;
}

/** The same shift in both lists. */
export interface MatchedShift {
  readonly kind: string;
  readonly recorded: TimedShift;
  readonly replayed: TimedShift;
  /** Replayed minus recorded (s): above 0 it came later. */
  readonly laterS: number;
  /** Replayed minus recorded output speed (rpm); null where one is not known. */
  readonly fasterRpm: number | null;
}

export interface MovedShifts {
  /** In order of the recorded time. */
  readonly matched: readonly MatchedShift[];
  readonly onlyRecorded: readonly TimedShift[];
  readonly onlyReplayed: readonly TimedShift[];
}

/**
 * Pairs each recorded shift with the replayed one of the same kind that is nearest in time, closest pairs first, each
 * used once. What has no partner within the tolerance is in one list only. The first list may also be another replay.
 * @param toleranceS largest distance of a pair (s), 0 or more
 */
export function movedShifts(
  recorded: readonly TimedShift[],
  replayed: readonly TimedShift[],
  toleranceS: number,
): MovedShifts {
  const pairs = candidatePairs(recorded, replayed, toleranceS).sort((a, b) => Math.abs(a.laterS) - Math.abs(b.laterS));
  const partnered = new Set<TimedShift>();
  const matched: MatchedShift[] = [];
  for (const pair of pairs) {
    if (partnered.has(pair.recorded) || partnered.has(pair.replayed)) continue;
    partnered.add(pair.recorded).add(pair.replayed);
    matched.push(pair);
  }
  const alone = (shifts: readonly TimedShift[]) => shifts.filter((shift) => !partnered.has(shift));
  return {
    matched: matched.sort((a, b) => a.recorded.timeS - b.recorded.timeS),
    onlyRecorded: alone(recorded),
    onlyReplayed: alone(replayed),
  };
}

/** Every pair of one kind within the tolerance, found by a window that slides over both lists in order of time. */
function candidatePairs(
  recorded: readonly TimedShift[],
  replayed: readonly TimedShift[],
  toleranceS: number,
): MatchedShift[] {
  const byTime = (shifts: readonly TimedShift[]) => [...shifts].sort((a, b) => a.timeS - b.timeS);
  const later = byTime(replayed);
  const pairs: MatchedShift[] = [];
  let start = 0;
  for (const shift of byTime(recorded)) {
    while (start < later.length && later[start].timeS < shift.timeS - toleranceS) start++;
    for (let i = start; i < later.length && later[i].timeS <= shift.timeS + toleranceS; i++) {
      if (later[i].kind === shift.kind) pairs.push(pairOf(shift, later[i]));
    }
  }
  return pairs;
}

function pairOf(recorded: TimedShift, replayed: TimedShift): MatchedShift {
  const [before, after] = [recorded.outputSpeedRpm, replayed.outputSpeedRpm];
  return {
    kind: recorded.kind,
    recorded,
    replayed,
    laterS: replayed.timeS - recorded.timeS,
    fasterRpm: before === undefined || after === undefined ? null : after - before,
  };
}

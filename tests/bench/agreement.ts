import type { StoredShift } from '@syncline/store';

/** A shift as the script found it: gears, command, start of the inertia phase and synchronisation (s), grades. */
export type ScriptShift = readonly [
  from: number,
  to: number,
  commandS: number,
  inertiaStartS: number | null,
  syncS: number,
  grades: string,
];

/** How far two analyses of one drive agree. */
export interface Agreement {
  readonly ours: number;
  readonly theirs: number;
  /** Of ours that synchronised: share with the same gears, synchronised within 0.3 s of each other. */
  readonly found: number;
  /** Of those: share whose times are within one sample of each other, and whose grades are the same. */
  readonly command: number;
  readonly inertiaStart: number;
  readonly sync: number;
  readonly grades: number;
}

const SAME_SHIFT_S = 0.3;
/** One sample at 100 Hz, and what rounding to milliseconds leaves. */
const SAMPLE_S = 0.0115;

/** Compares what was stored with what the script found. */
export function agreementOf(ours: readonly StoredShift[], theirs: readonly ScriptShift[]): Agreement {
  const synchronised = ours.filter(({ shift }) => shift.syncS !== null);
  const pairs = synchronised.flatMap((stored) => {
    const { from, to, syncS } = stored.shift;
    const nearest = theirs[firstFrom(theirs, (syncS ?? 0) - SAME_SHIFT_S)];
    if (!nearest || nearest[0] !== from || nearest[1] !== to || !(nearest[4] < (syncS ?? 0) + SAME_SHIFT_S)) return [];
    return [{ stored, nearest }];
  });
  const share = (isSame: (pair: (typeof pairs)[number]) => boolean) => pairs.filter(isSame).length / pairs.length;
  const isNear = (a: number | null, b: number | null) =>
    a === null || b === null ? a === b : Math.abs(a - b) <= SAMPLE_S;
  return {
    ours: ours.length,
    theirs: theirs.length,
    found: pairs.length / synchronised.length,
    command: share(({ stored, nearest }) => isNear(stored.shift.commandS, nearest[2])),
    inertiaStart: share(({ stored, nearest }) => isNear(stored.shift.inertiaStartS, nearest[3])),
    sync: share(({ stored, nearest }) => isNear(stored.shift.syncS, nearest[4])),
    grades: share(({ stored, nearest }) => stored.grades.join(' ') === nearest[5]),
  };
}

/** The first of shifts, in the order of their drive, that synchronised at or after a time. */
function firstFrom(shifts: readonly ScriptShift[], timeS: number): number {
  let low = 0;
  let high = shifts.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (shifts[middle]![4] < timeS) low = middle + 1;
    else high = middle;
  }
  return low;
}

export function agreementText(agreement: Agreement): string {
  const percent = (share: number) => `${(100 * share).toFixed(1)} %`;
  const { ours, theirs, found, command, inertiaStart, sync, grades } = agreement;
  return (
    `shifts: ${ours} stored, ${theirs} by the script; ${percent(found)} of those that synchronised found by both, and of ` +
    `these the same within one sample: command ${percent(command)}, inertia start ${percent(inertiaStart)}, ` +
    `synchronisation ${percent(sync)}; the same grades ${percent(grades)}`
  );
}

import type { PlatformDocument, ShiftRow } from '@syncline/contract';
import type { Lane, LaneSpan } from '../../charts/lane-strip.js';
import type { TimeRange } from '../../charts/plot-frame.js';
import type { PlotMoment, PlotPhase } from '../../charts/plot-series.js';

const BEFORE_S = 0.6;
const AFTER_S = 0.9;
/** How much is shown of a shift that never synchronised (s). */
const WITHOUT_SYNC_S = 2.5;

/** The part of the drive that shows one shift whole. */
export function windowOf(shift: ShiftRow): TimeRange {
  return { fromS: shift.commandS - BEFORE_S, toS: endOf(shift) + AFTER_S };
}

/** The phases that were found in a shift: fill and torque, flare where there is one, inertia. */
export function phasesOf(shift: ShiftRow): PlotPhase[] {
  const { commandS, flareStartS, inertiaStartS, syncS } = shift;
  const phases: PlotPhase[] = [];
  const isUpshiftFlare = flareStartS !== null && inertiaStartS !== null && flareStartS < inertiaStartS;
  const firstEnd = isUpshiftFlare ? flareStartS : inertiaStartS;
  if (firstEnd !== null)
    phases.push({ fromS: commandS, toS: firstEnd, word: 'fill and torque', colour: '--ink-soft', isHatched: false });
  if (isUpshiftFlare)
    phases.push({ fromS: flareStartS, toS: inertiaStartS, word: 'flare', colour: '--grade-flare', isHatched: true });
  if (inertiaStartS !== null && syncS !== null) {
    phases.push({ fromS: inertiaStartS, toS: syncS, word: 'inertia', colour: '--accent-ink', isHatched: false });
  }
  return phases;
}

/** The moments of a shift, each with a pattern of its own. */
export function momentsOf(shift: ShiftRow): PlotMoment[] {
  const { commandS, inertiaStartS, syncS } = shift;
  return [
    { timeS: commandS, dash: [1, 3] },
    ...(inertiaStartS === null ? [] : [{ timeS: inertiaStartS, dash: [5, 3] }]),
    ...(syncS === null ? [] : [{ timeS: syncS, dash: [] }]),
  ];
}

/**
 * Which clutches hold around a shift, by the application chart of the platform and the phases found in the log. The
 * log does not measure the clutches themselves; the lanes say what the phases imply.
 */
export function clutchLanes(platform: PlatformDocument, shift: ShiftRow): Lane[] {
  const before = appliedIn(platform, shift.from);
  const after = appliedIn(platform, shift.to);
  return platform.clutches.map(({ id, title }) => ({
    id,
    name: id,
    title,
    spans: spansOf(before.includes(id), after.includes(id), shift),
  }));
}

function spansOf(isHeldBefore: boolean, isHeldAfter: boolean, shift: ShiftRow): LaneSpan[] {
  const { fromS, toS } = windowOf(shift);
  const release = shift.flareStartS ?? shift.inertiaStartS ?? shift.commandS;
  const sync = endOf(shift);
  if (isHeldBefore && isHeldAfter) return [{ fromS, toS, look: 'full', word: 'applied' }];
  if (isHeldBefore) return [{ fromS, toS: release, look: 'full', word: 'applied' }];
  if (!isHeldAfter) return [];
  return [
    { fromS: shift.commandS, toS: release, look: 'filling', word: 'filling' },
    { fromS: release, toS: sync, look: 'slipping', word: 'slipping' },
    { fromS: sync, toS, look: 'full', word: 'applied' },
  ];
}

/** The lane of the shift valve, from the logged signal: each run of samples where it is energised. */
export function valveLane(timeS: readonly number[], valveOn: readonly (number | null)[]): Lane {
  const spans: LaneSpan[] = [];
  let start: number | null = null;
  for (let i = 0; i < timeS.length; i++) {
    const isOn = (valveOn[i] ?? 0) > 0.5;
    if (isOn && start === null) start = timeS[i] as number;
    if (start !== null && (!isOn || i === timeS.length - 1)) {
      spans.push({ fromS: start, toS: timeS[i] as number, look: 'full', word: 'energised' });
      start = null;
    }
  }
  return { id: 'valve', name: 'Valve', title: 'Shift valve', spans };
}

function endOf(shift: ShiftRow): number {
  return shift.syncS ?? shift.commandS + WITHOUT_SYNC_S;
}

function appliedIn(platform: PlatformDocument, gear: number): readonly string[] {
  return platform.gears.find((entry) => entry.gear === gear)?.applied ?? [];
}

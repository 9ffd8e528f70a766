import { measureAcceleration } from './acceleration.js';
import { conditionsAt, isPowerOn, meanOf } from './conditions.js';
import { findDisturbances } from './disturbances.js';
import { type Flare, findFlare, NO_FLARE } from './flare.js';
import { ratioStepTimes } from './ratio-step.js';
import type { Shift, ShiftMeasures, ShiftOutcome } from './shift.js';
import { type AnalysisContext, directionOf, type GearChange, type ShiftTiming, timeShift } from './shift-timing.js';
import { clutchSlipEnergyJ } from './slip-energy.js';
import type { Trace } from './trace.js';

/**
 * A clutch that has not let go this long after the command should have (s), common practice. A shift that leaves its
 * line later is timed from here: one that carries too little to begin, or holds on until it is forced, has lost the time.
 */
const LATEST_RELEASE_S = 0.7;

/**
 * Times, measures and labels of one change of gear (methods.md 2 and 3). Hunting and the time of the valve need what
 * comes later and are left open here. Null when too few samples are at hand.
 */
export function assembleShift(change: GearChange, context: AnalysisContext): Shift | null {
  const timing = timeShift(change, context);
  if (timing === null) return null;
  const { lines, trace, window, car, fromIndex, endIndex } = context;
  const { commandS, endS } = timing;
  const from = lines.gears[change.fromLine] as number;
  const to = lines.gears[change.toLine] as number;
  const step = { fromRatio: lines.ratio(change.fromLine), toRatio: lines.ratio(change.toLine) };
  const at = conditionsAt(window, car, commandS, { fromIndex, endIndex }, speedsAt(trace, commandS));
  const flare = flareOf(change, context, timing);
  const stretch = { fromIndex, endIndex, fromS: commandS, untilS: endS };
  return {
    from,
    to,
    endedIn: change.ending === 'entered' ? to : change.ending === 'returned' ? from : null,
    kind: `${from}-${to}`,
    direction: directionOf(change) < 0 ? 'up' : 'down',
    isSkip: Math.abs(change.fromLine - change.toLine) > 1,
    isPowerOn: isPowerOn(at, car),
    outcome: outcomeOf(change, timing),
    isHunting: false,
    startIndex: timing.commandIndex,
    endIndex: indexAfter(trace, endS),
    commandS,
    commandSource: timing.target === null ? 'lastInGear' : 'gearTarget',
    inertiaStartS: timing.inertiaStartS,
    flareStartS: flare.startS,
    syncS: timing.syncS,
    ...(timing.isHoled
      ? { ratio10S: null, ratio90S: null }
      : ratioStepTimes(trace, { ...step, fromS: commandS, untilS: endS })),
    at,
    measures: measuresOf(change, context, timing, flare),
    disturbances: findDisturbances(window, stretch, context.usualIntervalS),
  };
}

function outcomeOf(change: GearChange, timing: ShiftTiming): ShiftOutcome {
  if (change.ending === 'cut' || timing.isHoled) return 'cut';
  if (change.ending === 'overdue') return 'unsynchronised';
  if (change.ending === 'returned') return 'retargeted';
  return timing.target !== null && timing.target.askedLine !== change.toLine ? 'retargeted' : 'complete';
}

/** Upshift: beyond the old line before the inertia phase. Downshift: beyond the new line before synchronisation. */
function flareOf(change: GearChange, { trace, lines }: AnalysisContext, timing: ShiftTiming): Flare {
  const { commandS, inertiaStartS, endS } = timing;
  if (timing.isHoled) return NO_FLARE;
  if (directionOf(change) < 0) {
    return findFlare(trace, lines, { line: change.fromLine, fromS: commandS, untilS: inertiaStartS ?? endS });
  }
  if (inertiaStartS === null || change.ending === 'returned') return NO_FLARE;
  return findFlare(trace, lines, { line: change.toLine, fromS: inertiaStartS, untilS: endS });
}

function measuresOf(change: GearChange, context: AnalysisContext, timing: ShiftTiming, flare: Flare): ShiftMeasures {
  const { trace, lines, car } = context;
  const { commandS, inertiaStartS, syncS, endS } = timing;
  const isUpshift = directionOf(change) < 0;
  const ratioStep = lines.ratio(change.toLine) / lines.ratio(change.fromLine);
  // Before an inferred command the torque phase has already begun: there is no acceleration to compare with.
  const canTieUp = isUpshift && timing.target !== null;
  const releaseS = isUpshift ? (flare.startS ?? inertiaStartS) : inertiaStartS;
  return {
    flareRpm: flare.rpm,
    flareMs: flare.ms,
    flareRevolutions: flare.revolutions,
    shiftTimeS: syncS === null ? null : syncS - commandS,
    inertiaTimeS: syncS === null || inertiaStartS === null ? null : syncS - inertiaStartS,
    delayS: timing.target === null || inertiaStartS === null ? null : Math.max(0, inertiaStartS - commandS),
    ...measureAcceleration(trace, car, {
      commandS,
      endS,
      tieUp: canTieUp && releaseS !== null ? { releaseS, ratioStep } : null,
    }),
    speedStepRpm: syncS === null ? null : speedStepRpm(change, context, syncS),
    slipEnergyJ: isUpshift ? slipEnergyOf(change, context, timing) : null,
    valveOnAfterSyncS: null,
    ...actualTimeOf(timing, releaseS, context),
  };
}

/** Actual time from the release, which comes no later than a clutch takes to let go, and what was commanded in it. */
function actualTimeOf(
  { commandS, syncS, target }: ShiftTiming,
  slipS: number | null,
  { window, fromIndex, endIndex }: AnalysisContext,
): Pick<ShiftMeasures, 'actualTimeS' | 'appliedStartKpa' | 'appliedMeanKpa'> {
  if (syncS === null || slipS === null) return { actualTimeS: null, appliedStartKpa: null, appliedMeanKpa: null };
  const releaseS = target === null ? slipS : Math.min(slipS, commandS + LATEST_RELEASE_S);
  const range = { fromIndex, endIndex };
  return {
    actualTimeS: syncS - releaseS,
    appliedStartKpa: meanOf(window, 'applyPressure', { ...range, fromS: releaseS - 0.02, untilS: releaseS + 0.03 }),
    appliedMeanKpa: meanOf(window, 'applyPressure', { ...range, fromS: releaseS, untilS: syncS }),
  };
}

function speedStepRpm(change: GearChange, { trace, lines }: AnalysisContext, syncS: number): number {
  const outputRpm = trace.smoothOutputRpm[Math.min(trace.positionAt(syncS), trace.length - 1)] as number;
  return Math.abs(lines.ratio(change.toLine) - lines.ratio(change.fromLine)) * outputRpm;
}

/** Slip energy over the inertia phase; null without a torque in the log. */
function slipEnergyOf(change: GearChange, context: AnalysisContext, timing: ShiftTiming): number | null {
  const { trace, window, car } = context;
  if (timing.inertiaStartS === null || timing.syncS === null) return null;
  const from = trace.positionAt(timing.inertiaStartS);
  const to = trace.positionAt(timing.syncS);
  const { inputTorque, load } = window.columns;
  const inputTorqueNm = new Float64Array(Math.max(0, to - from)).fill(Number.NaN);
  for (let i = 0; i < inputTorqueNm.length; i++) {
    const slot = (trace.sampleIndex[from + i] as number) - window.firstIndex;
    if (inputTorque !== undefined) inputTorqueNm[i] = inputTorque[slot] as number;
    if (load !== undefined && Number.isNaN(inputTorqueNm[i] as number)) {
      inputTorqueNm[i] = ((load[slot] as number) / 100) * car.ratedInputTorqueNm;
    }
  }
  const phase = {
    timeS: trace.timeS.subarray(from, to),
    inputRpm: trace.smoothInputRpm.subarray(from, to),
    outputRpm: trace.smoothOutputRpm.subarray(from, to),
    inputSlopeRpmPerS: trace.inputSlope.subarray(from, to),
    inputTorqueNm,
  };
  const energyJ = clutchSlipEnergyJ(phase, context.lines.ratio(change.toLine), car.inputInertiaKgM2);
  return Number.isNaN(energyJ) ? null : energyJ;
}

function speedsAt(trace: Trace, timeS: number): { inputRpm: number; outputRpm: number } {
  const position = Math.min(trace.positionAt(timeS), trace.length - 1);
  return { inputRpm: trace.inputRpm[position] as number, outputRpm: trace.outputRpm[position] as number };
}

/** Index after the first sample at or beyond a time. */
function indexAfter(trace: Trace, timeS: number): number {
  const position = Math.min(trace.positionAt(timeS), trace.length - 1);
  return (trace.sampleIndex[position] as number) + 1;
}

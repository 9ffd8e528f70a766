import type { RevisionContent } from '@syncline/calibration';
import type { SignalId } from '@syncline/drivelog';
import {
  type BenchPoint,
  DEMO_TARGET_TIMES,
  type DriveLog,
  readTrace,
  ShiftBench,
  type ShiftTruth,
  sampleLog,
  shiftTruths,
  simulateTrace,
} from '@syncline/drivetrain';
import { analyseDrive, type Grade, gradeShift, programPolicy, type Shift, valueAtLoad } from '@syncline/shifts';
import { matchShifts } from '../report/match-shifts.ts';
import type { LoopCar } from './car-fleet.ts';
import { type CarTrims, NO_TRIMS, trimmedContent } from './car-trims.ts';
import { ordinaryDrive } from './drive-plan.ts';
import { BENCH_STEP_S, type Gearset, LOOP_POLICY, PROGRAM } from './loop-setting.ts';

/** Between two requested shifts the recorder is off for this long (s): more than what ends a recording. */
const PAUSE_S = 5;

/** What one car drove in one round: what the log shows, and what is graded against the truth. */
export interface CarRound {
  /** Found in the logs, as the method sees them. */
  readonly shifts: readonly Shift[];
  readonly graded: readonly GradedShift[];
}

export interface GradedShift {
  readonly found: readonly Grade[];
  readonly truth: readonly Grade[];
  /** Whether the log could tell a tie-up, a harsh shift. */
  readonly tellsTieUp: boolean;
  readonly tellsHarsh: boolean;
  readonly isRequested: boolean;
}

/** What a round is driven with. */
export interface RoundPlan {
  readonly gearset: Gearset;
  readonly content: RevisionContent;
  /** On top of the map, by car id. */
  readonly trims: ReadonlyMap<string, CarTrims>;
  /** Requests of every car, by car id. */
  readonly requests: ReadonlyMap<string, readonly BenchPoint[]>;
  readonly seed: string;
}

/**
 * An ordinary drive, and requested shifts with the recorder on around each. The method gets what the log holds: the
 * columns of a usual dialect, which has load but no torque, so that the profile's rated torque matters.
 */
export function driveCar(plan: RoundPlan, { car, facts }: LoopCar): CarRound {
  const seed = `${plan.seed}:${car.id}`;
  const content = trimmedContent(plan.gearset.layout, plan.content, plan.trims.get(car.id) ?? NO_TRIMS);
  const setup = ordinaryDrive(plan.gearset, content, car, seed);
  const drives = [
    { ...readTrace(simulateTrace(setup), setup), isRequested: false },
    { ...requestedShifts(plan, content, car, seed), isRequested: true },
  ];
  const { platform } = plan.gearset.gearbox;
  const analysed = drives.map(({ log, truth, isRequested }) => {
    const { inputTorque: _, ...signals } = log.signals;
    const options = { policy: LOOP_POLICY };
    const batch = { startIndex: 0, timeS: log.timeS, signals };
    const { shifts } = analyseDrive([batch], { platform, car: facts, options });
    const graded = matchShifts(shifts, truth).pairs.map((pair) => gradePair(pair, isRequested));
    return { shifts, graded };
  });
  return { shifts: analysed.flatMap(({ shifts }) => shifts), graded: analysed.flatMap(({ graded }) => graded) };
}

type Recording = { log: Pick<DriveLog, 'timeS' | 'signals'>; truth: ShiftTruth[] };

function requestedShifts(plan: RoundPlan, content: RevisionContent, car: LoopCar['car'], seed: string): Recording {
  const { gearbox, layout } = plan.gearset;
  const { platform } = gearbox;
  const bench = new ShiftBench({ gearbox, layout, content, stepS: BENCH_STEP_S });
  const facts = {
    programCode: platform.programs.find(({ id }) => id === PROGRAM)?.code ?? 0,
    ratedInputTorqueNm: platform.ratedInputTorqueNm,
  };
  const logs: DriveLog[] = [];
  const truth: ShiftTruth[] = [];
  let startS = 0;
  for (const [i, point] of (plan.requests.get(car.id) ?? []).entries()) {
    const trace = bench.trace(car, point);
    const log = sampleLog(trace, car, { ...facts, seed: `${seed}:${i}` });
    truth.push(...shiftTruths(trace, car, DEMO_TARGET_TIMES).map((shift) => later(shift, startS)));
    logs.push({ ...log, timeS: log.timeS.map((timeS) => timeS + startS) });
    startS += (log.timeS.at(-1) ?? 0) + PAUSE_S;
  }
  return { log: joined(logs), truth };
}

function later(shift: ShiftTruth, byS: number): ShiftTruth {
  return { ...shift, commandS: shift.commandS + byS, syncS: shift.syncS === null ? null : shift.syncS + byS };
}

function joined(logs: readonly DriveLog[]): Recording['log'] {
  const join = (parts: readonly Float64Array[]): Float64Array => {
    const whole = new Float64Array(parts.reduce((sum, { length }) => sum + length, 0));
    let offset = 0;
    for (const part of parts) {
      whole.set(part, offset);
      offset += part.length;
    }
    return whole;
  };
  const ids = Object.keys(logs[0]?.signals ?? {}) as SignalId[];
  const column = (id: SignalId) => join(logs.map(({ signals }) => signals[id] ?? new Float64Array()));
  return {
    timeS: join(logs.map(({ timeS }) => timeS)),
    signals: Object.fromEntries(ids.map((id) => [id, column(id)])),
  };
}

function gradePair({ found, truth }: { found: Shift; truth: ShiftTruth }, isRequested: boolean): GradedShift {
  const tellsTieUp = found.direction === 'down' || found.measures.tieUpDepth !== null;
  return {
    found: gradeShift(found, LOOP_POLICY, PROGRAM),
    truth: gradeTruth(truth, tellsTieUp),
    tellsTieUp,
    tellsHarsh: found.measures.peakJerk !== null,
    isRequested,
  };
}

/** Grades by what really happened. A dip that the driver made with pedal or brake is no tie-up, in truth neither. */
function gradeTruth(truth: ShiftTruth, isDriveKept: boolean): Grade[] {
  const limits = programPolicy(LOOP_POLICY, truth.program);
  const grades: Grade[] = [];
  if (truth.flareRpm >= limits.flareRpm && truth.flareMs >= limits.flareMs) grades.push('flare');
  if (isDriveKept && truth.tieUpDepth >= limits.tieUpDepth) grades.push('tie-up');
  if (truth.peakJerk > valueAtLoad(limits.harshJerk, truth.at.load)) grades.push('harsh');
  return grades;
}

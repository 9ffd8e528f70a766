import { CalibrationError, createScheduleReplay, movedShifts, type TimedShift } from '@syncline/calibration';
import type { ScheduleReplay as ReplayResponse } from '@syncline/contract';
import type { SignalId } from '@syncline/drivelog';
import type { LogDetail, SignalFile, Store } from '@syncline/store';
import { problem } from '../problem-error.js';
import type { Actor } from './actor.js';
import type { CalibrationService, OpenedRevision } from './calibrations.js';
import type { LogService } from './logs.js';

export interface ReplayQuery {
  readonly logId: string;
  readonly scheduleId: string;
  /** Another revision instead of what was recorded. */
  readonly againstId?: string;
  /** Whatever was recorded. */
  readonly program?: string;
}

type Move = ReplayResponse['moves'][number];
/** Where a shift was commanded or would have been (%, rpm). */
interface PlacedShift extends TimedShift {
  readonly pedal: number | null;
}

/** Samples are read and fed in runs of this many, with other requests answered between: a long drive takes little memory. */
const RUN_SAMPLES = 8192;
/** A shift that comes nearer than this to the other one counts as the same (s): a control unit looks that often. */
const SAME_WITHIN_S = 0.3;
/** Further apart than this (s), two shifts of one kind have nothing to do with each other. */
const PAIRED_WITHIN_S = 8;

const ASSUMPTION =
  'Pedal and output speed are taken as they were recorded, though in another gear the car and its driver would have ' +
  'gone on differently: trust where a shift moves, not what would have followed from it.';

export type ScheduleReplayService = ReturnType<typeof createScheduleReplayService>;

/** A shift schedule driven over a recorded drive. */
export function createScheduleReplayService(store: Store, calibrations: CalibrationService, logs: LogService) {
  /** The shifts that the schedule of a revision would have commanded over the drive. */
  async function replay(revision: OpenedRevision, log: LogDetail, query: ReplayQuery): Promise<PlacedShift[]> {
    if (revision.summary.platformId !== log.platformId) {
      throw impossible(
        `The drive is of platform '${log.platformId}', the revision of '${revision.summary.platformId}'.`,
      );
    }
    if (log.signalFile === null) throw problem('log.notReady', { detail: `Its state is '${log.state}'.` });
    const { layout, platform, content } = revision;
    const gearSignal = requireSignals(log);
    const { program } = query;
    const replaying = answerOrRefuse(() =>
      createScheduleReplay(layout, platform, content, query.scheduleId, { program }),
    );
    const file = await store.signals.open(log.signalFile);
    try {
      for await (const { timeS, signals } of runsOf(file, ['pedal', 'outputSpeed', gearSignal, 'program'])) {
        const missing = new Float64Array(timeS.length).fill(Number.NaN);
        const { pedal = missing, outputSpeed = missing, [gearSignal]: gear = missing, program: programCode } = signals;
        answerOrRefuse(() => replaying.feed({ timeS, pedal, outputSpeed, gear, programCode }));
      }
    } finally {
      await file.close();
    }
    return [...replaying.result().shifts];
  }

  function recordedShifts(logId: string): PlacedShift[] {
    return store.read.shifts.ofLog(logId).map(({ shift }) => ({
      kind: shift.kind,
      timeS: shift.commandS,
      outputSpeedRpm: shift.at.outputSpeedRpm,
      pedal: shift.at.pedal,
    }));
  }

  return {
    async replay(actor: Actor, revisionId: string, query: ReplayQuery): Promise<ReplayResponse> {
      const revision = calibrations.open(revisionId);
      const against = query.againstId === undefined ? undefined : calibrations.open(query.againstId);
      const log = logs.get(actor, query.logId);
      const replayed = await replay(revision, log, query);
      const before = against ? await replay(against, log, query) : recordedShifts(log.id);
      return {
        logId: log.id,
        scheduleId: query.scheduleId,
        assumption: ASSUMPTION,
        recordedShifts: before.length,
        replayedShifts: replayed.length,
        moves: movesBetween(before, replayed),
      };
    },
  };
}

async function* runsOf(file: SignalFile, signalIds: readonly SignalId[]) {
  const present = signalIds.filter((id) => file.signalIds.includes(id));
  for (let startIndex = 0; startIndex < file.sampleCount; startIndex += RUN_SAMPLES) {
    const endIndex = Math.min(startIndex + RUN_SAMPLES, file.sampleCount);
    yield await file.raw({ signalIds: present, startIndex, endIndex });
  }
}

/** The signal that tells the gear; refuses a drive that lacks what a schedule is asked with. */
function requireSignals({ signalIds }: LogDetail): 'gear' | 'gearTarget' {
  const gear = (['gear', 'gearTarget'] as const).find((id) => signalIds.includes(id));
  const missing = (['pedal', 'outputSpeed'] as const).filter((id) => !signalIds.includes(id));
  if (gear && missing.length === 0) return gear;
  const lacks = gear ? missing : [...missing, 'gear'];
  throw impossible(`The drive was logged without ${lacks.join(' and ')}.`);
}

function movesBetween(before: readonly PlacedShift[], replayed: readonly PlacedShift[]): Move[] {
  const { matched, onlyRecorded, onlyReplayed } = movedShifts(before, replayed, PAIRED_WITHIN_S);
  // What comes out are the very objects that went in.
  const toMove = (
    change: Move['change'],
    shift: TimedShift,
    recordedS: number | null,
    replayedS: number | null,
  ): Move => {
    const { kind, pedal, outputSpeedRpm = null } = shift as PlacedShift;
    return { kind, change, recordedS, replayedS, pedal, outputSpeedRpm };
  };
  const moves = [
    ...matched.map(({ recorded, replayed: moved, laterS }) => {
      const isSame = Math.abs(laterS) <= SAME_WITHIN_S;
      return toMove(isSame ? 'same' : laterS < 0 ? 'earlier' : 'later', moved, recorded.timeS, moved.timeS);
    }),
    ...onlyRecorded.map((shift) => toMove('gone', shift, shift.timeS, null)),
    ...onlyReplayed.map((shift) => toMove('new', shift, null, shift.timeS)),
  ];
  const timeOf = ({ recordedS, replayedS }: Move) => recordedS ?? replayedS ?? 0;
  return moves.sort((a, b) => timeOf(a) - timeOf(b));
}

function answerOrRefuse<T>(answer: () => T): T {
  try {
    return answer();
  } catch (error) {
    if (!(error instanceof CalibrationError)) throw error;
    if (error.code !== 'unknownSchedule') throw impossible(error.message);
    throw problem('request.invalid', {
      detail: error.message,
      fields: [{ path: 'querystring.schedule', message: 'is not in the layout' }],
      cause: error,
    });
  }
}

function impossible(detail: string) {
  return problem('replay.impossible', { detail });
}

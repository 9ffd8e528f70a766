import { availableParallelism } from 'node:os';
import { join } from 'node:path';
import { INDISPENSABLE_SIGNALS, SIGNAL_IDS, type SignalId, type SignalMap } from '@syncline/drivelog';
import { createShiftFinder, type FoundEvents, type LockUpEpisode } from '@syncline/shifts';
import type { InspectionDocument } from '@syncline/store';
import { type AssessedShift, assessed } from '../jobs/assess-shift.js';
import { type AnalysisProgress, type AnalysisResult, type AnalysisTask, type Found, isLong } from './analysis-task.js';
import { toReadFindingsDocument } from './describe-file.js';
import { toQualityDocument } from './describe-quality.js';
import { eventOverflow, spanOverflow } from './find-overflow.js';
import type { OpenLog } from './open-log.js';
import { Packer } from './packs.js';
import { createRecorder, type DriveRecorder, type RecorderTask } from './recorder/drive-recorder.js';
import { startRecorder } from './recorder/start-recorder.js';

/** One pass: each batch of samples goes to the recorder and to the shift finder, and is let go. */
export async function readDrive(
  { input, signalPath, scratchFolder }: AnalysisTask,
  log: OpenLog,
  map: SignalMap,
  inspection: InspectionDocument,
  report: (progress: AnalysisProgress) => void,
): Promise<AnalysisResult> {
  const { platform, policy, car } = input;
  const mapped = SIGNAL_IDS.filter((id) => map.signals.some((entry) => entry.signal === id));
  const reading = log.read(map, car);
  const finder = createShiftFinder({ platform, car, options: { policy } });
  const reference = { gearRatios: platform.gears.map(({ ratio }) => ratio), car };
  const recorder = await beginRecorder({ signalPath, signalIds: mapped, reference }, isLong(input));
  const shifts = new Packer<AssessedShift>(join(scratchFolder, 'shifts'));
  const lockUps = new Packer<LockUpEpisode>(join(scratchFolder, 'lock-ups'));
  let overflow: string | undefined;
  const keep = (found: FoundEvents) => {
    for (const event of [...found.shifts, ...found.lockUps]) overflow ??= eventOverflow(event);
    for (const shift of found.shifts) shifts.add(assessed(shift, car, policy, platform));
    for (const lockUp of found.lockUps) lockUps.add(lockUp);
  };
  try {
    for await (const batch of reading.batches) {
      await recorder.append(batch);
      keep(finder.push(batch));
    }
    report({ progress: 1, logState: 'analysing' });
    keep(finder.end());
    const sampleFindings = finder.findings();
    overflow = spanOverflow(sampleFindings.durationS) ?? overflow;
    if (overflow !== undefined) {
      await recorder.abort();
      return { kind: 'unreadable', code: 'log.unreadable', detail: overflow };
    }
    const { signalIds, times, quality, marks } = await recorder.close();
    const readFindings = reading.findings();
    const { startInstant } = readFindings;
    return judge(mapped, {
      durationS: sampleFindings.durationS,
      shiftPacks: shifts.result(),
      lockUpPacks: lockUps.result(),
      sampleFindings,
      readFindings: toReadFindingsDocument(readFindings, inspection.format),
      quality: toQualityDocument(times, readFindings, quality),
      inspection,
      signalIds,
      marks,
      drivenAtMs: startInstant?.hasZone ? startInstant.utcMs : undefined,
      statedCalibration: log.statedCalibration,
    });
  } catch (error) {
    await recorder.abort();
    throw error;
  } finally {
    shifts.close();
    lockUps.close();
  }
}

/** The samples of a long log are recorded by a thread of their own, where there is a processor for it. */
async function beginRecorder(task: RecorderTask, isLongLog: boolean): Promise<DriveRecorder> {
  return isLongLog && availableParallelism() > 1 ? startRecorder(task) : createRecorder(task);
}

/** Whether what was read can be graded, and if not whether another signal map would help. */
function judge(mapped: readonly SignalId[], found: Found): AnalysisResult {
  const { tooSlowForTiming, medianIntervalS, missingSignals } = found.sampleFindings;
  if (tooSlowForTiming) {
    const detail = `One sample every ${medianIntervalS.toFixed(2)} s; a shift is over in less than a second and cannot be timed.`;
    return { kind: 'refused', problem: { code: 'log.noTiming', detail, remedy: 'Log at 10 Hz or faster.' }, ...found };
  }
  const missing = INDISPENSABLE_SIGNALS.filter((id) => missingSignals.includes(id));
  if (missing.length === 0) return { kind: 'ready', ...found };
  const detail = `No shift can be found without ${missing.join(' and ')}.`;
  const problem = { code: 'signalMap.invalid', detail, remedy: 'Say which columns they are, or log them as well.' };
  return missing.every((id) => mapped.includes(id))
    ? { kind: 'refused', problem, ...found }
    : { kind: 'awaitingMap', inspection: found.inspection, problem };
}

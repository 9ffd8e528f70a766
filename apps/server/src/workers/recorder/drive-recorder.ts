import {
  LogQualityCounter,
  type QualityFinding,
  type RatioReference,
  type SignalBatch,
  type SignalId,
  type TimeStatistics,
  TimeStatisticsCounter,
} from '@syncline/drivelog/quality';
import { createSignalWriter } from '@syncline/store/files';
import { MarkFinder } from './mark-finder.js';

/** What a recorder is begun with. */
export interface RecorderTask {
  readonly signalPath: string;
  readonly signalIds: readonly SignalId[];
  readonly reference: RatioReference;
}

/** What the samples themselves tell, beside the shifts in them. */
export interface Recording {
  /** Signals with at least one value. */
  readonly signalIds: readonly SignalId[];
  readonly times: TimeStatistics;
  readonly quality: readonly QualityFinding[];
  /** Presses of the marker button (s). */
  readonly marks: readonly number[];
}

/** Takes the samples of a drive, batch by batch, in bounded memory. After an error it can only be aborted. */
export interface DriveRecorder {
  /** The arrays are the caller's again when this is done. Not to be called again before. */
  append(batch: SignalBatch): Promise<void>;
  /** The signal file is then whole, and has its name. */
  close(): Promise<Recording>;
  /** Leaves nothing behind. */
  abort(): Promise<void>;
}

/** Writes the signal file and counts what is odd about the samples, at once and in the thread of the caller. */
export async function createRecorder({ signalPath, signalIds, reference }: RecorderTask): Promise<DriveRecorder> {
  const writer = await createSignalWriter(signalPath, signalIds);
  const times = new TimeStatisticsCounter();
  const quality = new LogQualityCounter(reference);
  const marks = new MarkFinder();
  return {
    async append(batch) {
      await writer.append(batch);
      times.push(batch.timeS);
      quality.push(batch);
      marks.push(batch);
    },
    async close() {
      const { signalIds: present } = await writer.close();
      return { signalIds: present, times: times.result(), quality: quality.result(), marks: marks.result() };
    },
    abort: () => writer.abort(),
  };
}

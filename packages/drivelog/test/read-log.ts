import {
  createLogReader,
  type InspectionOverrides,
  inspectLog,
  type LogInspection,
  type LogReader,
  type LogReaderOptions,
  type ReadFindings,
  type SignalBatch,
  type SignalMap,
  suggestSignalMap,
} from '../src/index.js';

export interface ReadOptions extends Partial<Pick<LogReaderOptions, 'map' | 'car' | 'batchSize' | 'isLending'>> {
  readonly overrides?: InspectionOverrides;
  /** Of the same bytes, where many readings share one. */
  readonly inspection?: LogInspection;
  /** Where the bytes are cut before they are pushed. */
  readonly cuts?: readonly number[];
}

export interface WholeLog {
  readonly timeS: number[];
  readonly signals: Record<string, number[]>;
  readonly batchLengths: number[];
  readonly findings: ReadFindings;
}

export function bytesOf(text: string): Uint8Array {
  return new TextEncoder().encode(text);
}

/** Reads a log as a product would: inspect, map, read. The map is the suggested one unless given. */
export function readLog(input: string | Uint8Array, options: ReadOptions = {}): WholeLog {
  const bytes = typeof input === 'string' ? bytesOf(input) : input;
  const inspection = options.inspection ?? inspectLog(bytes, options.overrides);
  const map = options.map ?? suggestSignalMap(inspection).map ?? noTime();
  const { car, batchSize, isLending = false } = options;
  const reader = createLogReader({ map, inspection, car, isLending, ...(batchSize && { batchSize }) });
  return join(pushAll(reader, bytes, options.cuts ?? []), reader);
}

function pushAll(reader: LogReader, bytes: Uint8Array, cuts: readonly number[]): SignalBatch[] {
  const ends = [...cuts].sort((a, b) => a - b).concat(bytes.length);
  // Arrays may be lent: what they hold is taken before more is pushed.
  const batches = ends.flatMap((end, i) => structuredClone(reader.push(bytes.slice(ends[i - 1] ?? 0, end))));
  return [...batches, ...reader.end()];
}

function join(batches: readonly SignalBatch[], reader: LogReader): WholeLog {
  const signals: Record<string, number[]> = {};
  for (const batch of batches) {
    for (const [id, values] of Object.entries(batch.signals)) signals[id] = [...(signals[id] ?? []), ...values];
  }
  return {
    timeS: batches.flatMap((batch) => [...batch.timeS]),
    signals,
    batchLengths: batches.map((batch) => batch.timeS.length),
    findings: reader.findings(),
  };
}

/** Reading without time is refused by the reader itself, as for a map that names a column of another file. */
function noTime(): SignalMap {
  return { time: { column: 'no time column', format: 'seconds' }, signals: [] };
}

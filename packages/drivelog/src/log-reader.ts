import type { JoinFindings } from './join/joined-rows.js';
import type { SignalBatch, SignalId } from './signals.js';

/** Samples in each batch but the last. Fixed, so that results cannot depend on how the bytes arrived. */
export const DEFAULT_BATCH_SIZE = 8192;

/** Damaged rows that are described one by one; the others are only counted. */
export const MAX_DAMAGE_DETAILS = 20;

/** Why a row was left out. */
export type DamageReason =
  | 'too_few_fields'
  | 'time_missing'
  | 'time_unreadable'
  | 'value_unreadable'
  | 'quoting'
  | 'field_too_long';

/** A row that was left out. `line` counts from 1, `byteOffset` from 0, both of the row's start in the file. */
export interface DamagedRow {
  readonly line: number;
  readonly byteOffset: number;
  /** Name of the column at fault; null when the row as a whole is. */
  readonly column: string | null;
  readonly reason: DamageReason;
  /** The text met, shortened. */
  readonly found: string;
}

/** The moment of the first sample, when the log states it. */
export interface StartInstant {
  readonly utcMs: number;
  /** False when the log gave no zone and the time was taken as UTC. */
  readonly hasZone: boolean;
}

/** Frames of a bus capture. */
export interface BusFindings {
  /** Readable frames of all buses. */
  readonly frames: number;
  /** Frames that held a mapped signal. */
  readonly readFrames: number;
  readonly remoteFrames: number;
  readonly errorFrames: number;
  /** Frames of other buses than the one that was read. */
  readonly otherBusFrames: number;
  /** Frames too short for a mapped signal. */
  readonly shortFrames: number;
}

/** What a reader met. Nothing of it was repaired: what could not be read was left out and counted here. */
export interface ReadFindings {
  readonly byteCount: number;
  /** Samples delivered. */
  readonly sampleCount: number;
  readonly damagedRows: number;
  readonly damagedByReason: Readonly<Partial<Record<DamageReason, number>>>;
  /** The first of them, at most 20. */
  readonly firstDamage: readonly DamagedRow[];
  /** Samples without a value, per mapped signal. */
  readonly missingValues: Readonly<Partial<Record<SignalId, number>>>;
  readonly rowsWithExtraFields: number;
  readonly blankLines: number;
  readonly commentLines: number;
  /** Header or units rows met again inside the data: the logger was restarted. */
  readonly repeatedHeaders: number;
  /** Clock times that passed midnight; a day was added from there on. */
  readonly midnightCrossings: number;
  /** The last line has no line end, so its last number may have been cut short. */
  readonly endsWithoutLineEnd: boolean;
  readonly startInstant: StartInstant | null;
  /** How signals of different rates came together; absent where a log has one sample of all at each moment. */
  readonly join?: JoinFindings;
  /** Only for captures of a bus. */
  readonly bus?: BusFindings;
}

/**
 * One log being read: bytes in, batches out. The bytes may be cut anywhere. `push` and `end` throw LogFormatError when
 * the file as a whole cannot be read; batches that were handed out before are then void. A reader is used once.
 * Chunks are copied, so the caller may reuse them.
 */
export interface LogReader {
  push(chunk: Uint8Array): SignalBatch[];
  /** Hands out the rest. Nothing may be pushed afterwards. */
  end(): SignalBatch[];
  /** Complete after `end`; a snapshot before. */
  findings(): ReadFindings;
}

/**
 * Reads a whole source.
 * @example for await (const batch of readBatches(file, reader)) finder.push(batch);
 */
export async function* readBatches(
  source: AsyncIterable<Uint8Array> | Iterable<Uint8Array>,
  reader: LogReader,
): AsyncGenerator<SignalBatch, void, undefined> {
  for await (const chunk of source) yield* reader.push(chunk);
  yield* reader.end();
}

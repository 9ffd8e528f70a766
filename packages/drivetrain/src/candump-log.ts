import { type SignalId, unitsForSignal } from '@syncline/drivelog';
import type { BusDialect, BusFrame, FrameSignal } from './bus-dialect.js';
import { makeRandom, type Random } from './random.js';
import type { DriveLog } from './sample-log.js';

export interface CandumpOptions {
  /** Moment of time 0. */
  readonly startUtcMs: number;
  readonly seed: string | number;
  /** Default `can0`. */
  readonly busInterface?: string;
  /** How early or late a frame may be, as a share of its period. Default 0.03. */
  readonly jitter?: number;
  /** Share of frames that the logger misses. Default 0. */
  readonly lostShare?: number;
  /** Frames are only sent until then (s). Default: all through the log. */
  readonly durationS?: number;
}

/** Lines per chunk. */
const CHUNK_LINES = 4096;

/** One frame on its way: place in the dialect, and when it is seen. */
interface Sent {
  readonly frame: number;
  readonly timeS: number;
  /** Counts the frames of this identifier. */
  readonly count: number;
}

/**
 * Writes a drive as a capture of the car's bus in the log form of candump, `(seconds.micros) interface id#data`, in
 * chunks of some thousand lines. Measured signals run straight between the samples of the log, states hold; a missing
 * value becomes raw 0. The times of the log must rise. The same seed gives the same bytes.
 */
export function* writeCandumpLog(
  log: DriveLog,
  dialect: BusDialect,
  options: CandumpOptions,
): Generator<Uint8Array<ArrayBuffer>> {
  const encoder = new TextEncoder();
  const { startUtcMs, busInterface = 'can0' } = options;
  const writers = dialect.frames.map((frame) => new FrameWriter(frame, log));
  let text = '';
  let lines = 0;
  for (const { frame, timeS, count } of schedule(log, dialect, options)) {
    const micros = Math.round(startUtcMs * 1000 + timeS * 1e6);
    const seconds = Math.floor(micros / 1e6);
    const fraction = String(micros - seconds * 1e6).padStart(6, '0');
    text += `(${seconds}.${fraction}) ${busInterface} ${writers[frame].at(timeS, count)}\n`;
    if (++lines % CHUNK_LINES > 0) continue;
    yield encoder.encode(text);
    text = '';
  }
  if (text !== '') yield encoder.encode(text);
}

/** Every frame that is seen, in the order of time. */
function schedule(log: DriveLog, { frames }: BusDialect, options: CandumpOptions): Sent[] {
  const { seed, jitter = 0.03, lostShare = 0, durationS = log.timeS.at(-1) ?? 0 } = options;
  const random = makeRandom(`bus:${seed}`);
  return frames
    .flatMap((frame, index) => sendings(frame, index, { random, jitter, lostShare, durationS }))
    .sort((a, b) => a.timeS - b.timeS || a.frame - b.frame);
}

function sendings(
  { periodS }: BusFrame,
  frame: number,
  {
    random,
    jitter,
    lostShare,
    durationS,
  }: { random: Random } & Required<Pick<CandumpOptions, 'jitter' | 'lostShare' | 'durationS'>>,
): Sent[] {
  const sent: Sent[] = [];
  const phaseS = jitter === 0 ? 0 : random.uniform() * periodS;
  for (let count = 0; phaseS + count * periodS <= durationS; count++) {
    const lateS = jitter === 0 ? 0 : random.between(-jitter, jitter) * periodS;
    const timeS = Math.max(0, phaseS + count * periodS + lateS);
    if (lostShare === 0 || random.uniform() >= lostShare) sent.push({ frame, timeS, count });
  }
  return sent;
}

/** Puts one frame together; to be asked for rising times. */
class FrameWriter {
  private readonly data: Uint8Array;
  private readonly head: string;
  private readonly fields: readonly { readonly signal: FrameSignal; readonly values: SignalReader }[];

  constructor({ identifier, length, signals }: BusFrame, log: DriveLog) {
    this.data = new Uint8Array(length);
    this.head = `${identifier.toString(16).toUpperCase().padStart(3, '0')}#`;
    this.fields = signals.map((signal) => ({ signal, values: new SignalReader(log, signal.signal) }));
  }

  at(timeS: number, count: number): string {
    this.data.fill(0);
    // A counter in the last byte, as most frames have one; signals are written over it.
    if (this.data.length > 0) this.data[this.data.length - 1] = count % 256;
    for (const { signal, values } of this.fields) writeRaw(this.data, signal, rawOf(signal, values.at(timeS)));
    let text = this.head;
    for (const byte of this.data) text += HEX[byte];
    return text;
  }
}

const HEX = Array.from({ length: 256 }, (_, byte) => byte.toString(16).toUpperCase().padStart(2, '0'));

/** The value of a signal of the log between its samples. */
class SignalReader {
  private readonly timeS: Float64Array;
  private readonly values: Float64Array | undefined;
  private readonly isState: boolean;
  private index = 0;

  constructor(log: DriveLog, signal: SignalId) {
    this.timeS = log.timeS;
    this.values = log.signals[signal];
    this.isState = unitsForSignal(signal)[0] === '';
  }

  at(timeS: number): number {
    const { values } = this;
    if (values === undefined) return NaN;
    while (this.index < this.timeS.length - 2 && this.timeS[this.index + 1] <= timeS) this.index++;
    const before = values[this.index];
    if (this.isState || this.index + 1 >= values.length) return before;
    const startS = this.timeS[this.index];
    const share = Math.min(1, Math.max(0, (timeS - startS) / (this.timeS[this.index + 1] - startS)));
    return before + share * (values[this.index + 1] - before);
  }
}

function rawOf({ perUnit, offset, scale, length, signed }: FrameSignal, value: number): number {
  if (Number.isNaN(value)) return 0;
  const raw = Math.round((value * perUnit - offset) / scale);
  const most = 2 ** (signed ? length - 1 : length) - 1;
  const kept = Math.max(signed ? -most - 1 : 0, Math.min(most, raw));
  return kept < 0 ? kept + 2 ** length : kept;
}

/** Bits as in `BusSignal`: from the lowest up in little-endian order, from the highest down in big-endian order. */
function writeRaw(data: Uint8Array, { startBit, length, byteOrder }: FrameSignal, raw: number): void {
  let bit = startBit;
  for (let i = 0; i < length; i++) {
    const power = byteOrder === 'little' ? i : length - 1 - i;
    const isSet = Math.floor(raw / 2 ** power) % 2 === 1;
    const mask = 1 << (bit & 7);
    data[bit >> 3] = isSet ? data[bit >> 3] | mask : data[bit >> 3] & ~mask;
    if (byteOrder === 'little') bit++;
    else bit = (bit & 7) === 0 ? bit + 15 : bit - 1;
  }
}

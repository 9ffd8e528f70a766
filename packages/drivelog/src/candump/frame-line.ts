import type { DamageReason } from '../log-reader.js';
import { MAX_FRAME_BYTES } from './bus-signal.js';

const BLANK = 32;
const TAB = 9;
const HASH = 35;
const QUOTE = 39;
const OPEN = 40;
const CLOSE = 41;
const POINT = 46;
const ZERO = 48;
const NINE = 57;
const UPPER_R = 82;
const OPEN_BRACKET = 91;
const CLOSE_BRACKET = 93;
const UNDERSCORE = 95;

const ERROR_FLAG = 0x20000000;
const MAX_STANDARD = 0x7ff;
/** Beyond, whole nanoseconds could not be told apart; no clock shows the year 2255. */
const MAX_SECONDS = 9_007_199_254;

export type FrameKind = 'data' | 'remote' | 'error';

/**
 * One line of a candump capture, taken apart in place. The log form `(seconds.fraction) interface id#data` as written
 * by can-utils (reference: its lib.h and manual page), and the long form `(seconds.fraction) interface id [n] bytes`
 * with or without date, direction flags and the text column. The fields are those of the last line that was read.
 */
export class FrameLine {
  /** Time as written, in whole seconds and nanoseconds. */
  seconds = 0;
  nanoseconds = 0;
  /** False when the line has no time at all. */
  hasTime = false;
  identifier = 0;
  isExtended = false;
  isFd = false;
  isLongForm = false;
  kind: FrameKind = 'data';
  readonly data = new Uint8Array(MAX_FRAME_BYTES);
  length = 0;
  /** Where the name of the interface lies in the bytes. */
  interfaceStart = 0;
  interfaceEnd = 0;
  /** Why the last line could not be read. */
  damage: DamageReason = 'value_unreadable';

  private bytes: Uint8Array = this.data;
  private at = 0;
  private end = 0;

  /** Reads the line from `start` to `end`; false when it is damaged. */
  read(bytes: Uint8Array, start: number, end: number): boolean {
    this.bytes = bytes;
    this.at = start;
    this.end = end;
    this.damage = 'value_unreadable';
    this.length = 0;
    this.isFd = false;
    this.kind = 'data';
    this.passBlanks();
    if (!this.readTime()) return this.fail('time_unreadable');
    this.passBlanks();
    this.interfaceStart = this.at;
    this.passWord();
    this.interfaceEnd = this.at;
    this.passBlanks();
    this.passFlags();
    if (!this.readIdentifier()) return this.fail('value_unreadable');
    this.isLongForm = this.byte() !== HASH;
    return this.isLongForm ? this.readLongForm() : this.readLogForm();
  }

  private fail(reason: DamageReason): false {
    this.damage = this.at >= this.end ? 'too_few_fields' : reason;
    return false;
  }

  private byte(): number {
    return this.at < this.end ? this.bytes[this.at] : -1;
  }

  private passBlanks(): void {
    while (this.byte() === BLANK || this.byte() === TAB) this.at++;
  }

  private passWord(): void {
    while (this.at < this.end && this.byte() !== BLANK && this.byte() !== TAB) this.at++;
  }

  /** Direction and flags of the long form: `RX - -` or `TX B E`. */
  private passFlags(): void {
    const next = this.bytes[this.at + 1];
    if ((this.byte() !== UPPER_R && this.byte() !== 84) || next !== 88) return;
    for (let word = 0; word < 3; word++) {
      this.passWord();
      this.passBlanks();
    }
  }

  private readTime(): boolean {
    this.hasTime = this.byte() === OPEN;
    if (!this.hasTime) return true;
    this.at++;
    let seconds = this.readWhole();
    if (this.byte() === 45) seconds = this.readDate(seconds);
    this.seconds = seconds;
    this.nanoseconds = 0;
    if (!(seconds <= MAX_SECONDS) || this.byte() !== POINT) return false;
    this.at++;
    let digits = 0;
    for (; this.byte() >= ZERO && this.byte() <= NINE; this.at++) {
      if (digits++ < 9) this.nanoseconds = this.nanoseconds * 10 + this.byte() - ZERO;
    }
    for (let missing = digits; missing < 9; missing++) this.nanoseconds *= 10;
    if (digits === 0 || this.byte() !== CLOSE) return false;
    this.at++;
    return true;
  }

  /** The rest of `2026-03-01 12:34:56` after its year, as seconds since 1970; the zone is not told. NaN when unreadable. */
  private readDate(year: number): number {
    const parts = [year];
    for (const mark of [45, 45, BLANK, 58, 58]) {
      if (this.byte() !== mark) return NaN;
      this.at++;
      parts.push(this.readWhole());
    }
    const [, month, day, hour, minute, second] = parts;
    if (!(month >= 1 && month <= 12 && day >= 1 && day <= 31 && hour < 24 && minute < 60 && second < 61)) return NaN;
    return Date.UTC(year, month - 1, day, hour, minute, second) / 1000;
  }

  /** NaN without a digit. */
  private readWhole(): number {
    const start = this.at;
    let value = 0;
    for (; this.byte() >= ZERO && this.byte() <= NINE; this.at++) value = value * 10 + this.byte() - ZERO;
    return this.at === start ? NaN : value;
  }

  /** Three hexadecimal digits are a standard identifier, eight an extended one or an error frame. */
  private readIdentifier(): boolean {
    const start = this.at;
    let value = 0;
    for (let digit = hexDigit(this.byte()); digit >= 0 && this.at - start < 9; digit = hexDigit(this.byte())) {
      value = value * 16 + digit;
      this.at++;
    }
    const digitCount = this.at - start;
    this.isExtended = digitCount === 8;
    if (this.isExtended && value >= ERROR_FLAG) {
      this.kind = 'error';
      this.identifier = value - ERROR_FLAG;
      return value < 2 * ERROR_FLAG;
    }
    this.identifier = value;
    return this.isExtended || (digitCount === 3 && value <= MAX_STANDARD);
  }

  private readLogForm(): boolean {
    this.at++;
    if (this.byte() === UPPER_R) {
      this.kind = 'remote';
      this.at++;
      if (hexDigit(this.byte()) >= 0) this.at++;
      return this.endsWell();
    }
    if (this.byte() === HASH) {
      this.at++;
      this.isFd = true;
      if (hexDigit(this.byte()) < 0) return this.fail('value_unreadable');
      this.at++;
    }
    const maxLength = this.isFd ? MAX_FRAME_BYTES : 8;
    for (;;) {
      if (this.byte() === POINT && this.length > 0) this.at++;
      const high = hexDigit(this.byte());
      if (high < 0) break;
      this.at++;
      const low = hexDigit(this.byte());
      if (low < 0 || this.length >= maxLength) return this.fail('value_unreadable');
      this.at++;
      this.data[this.length++] = high * 16 + low;
    }
    return this.endsWell();
  }

  /** After a frame of the log form stand a raw length, blanks and a direction, or nothing. */
  private endsWell(): boolean {
    if (this.byte() === UNDERSCORE) this.at += 2;
    this.passBlanks();
    if (this.byte() === UPPER_R || this.byte() === 84) this.at++;
    this.passBlanks();
    return this.at >= this.end ? true : this.fail('value_unreadable');
  }

  private readLongForm(): boolean {
    this.passBlanks();
    if (this.byte() !== OPEN_BRACKET) return this.fail('value_unreadable');
    this.at++;
    this.passBlanks();
    const count = this.readWhole();
    if (this.byte() !== CLOSE_BRACKET || !(count <= MAX_FRAME_BYTES)) return this.fail('value_unreadable');
    this.at++;
    this.passBlanks();
    if (this.byte() === 114) {
      this.kind = 'remote';
      return true;
    }
    this.isFd = count > 8;
    while (this.length < count) {
      const high = hexDigit(this.byte());
      const low = high < 0 ? -1 : hexDigit(this.bytes[this.at + 1]);
      if (low < 0 || this.at + 1 >= this.end) return this.fail('value_unreadable');
      this.data[this.length++] = high * 16 + low;
      this.at += 2;
      this.passBlanks();
    }
    const rest = this.byte();
    return rest === -1 || rest === QUOTE || this.kind === 'error' ? true : this.fail('value_unreadable');
  }
}

function hexDigit(byte: number): number {
  if (byte >= ZERO && byte <= NINE) return byte - ZERO;
  const letter = byte | 32;
  return letter >= 97 && letter <= 102 ? letter - 87 : -1;
}

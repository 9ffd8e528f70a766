const SECONDS_PER_DAY = 86_400;
const DAYS_TO_1970 = 719_468;

const ZERO = 48;
const NINE = 57;

/** A cursor over the bytes of one field; a failed step turns `isGood` off and stays there. */
class FieldCursor {
  isGood = true;
  private readonly bytes: Uint8Array;
  private position: number;
  private readonly end: number;

  constructor(bytes: Uint8Array, start: number, end: number) {
    this.bytes = bytes;
    this.position = start;
    this.end = end;
  }

  get isAtEnd(): boolean {
    return this.position >= this.end;
  }

  peek(): number {
    return this.position < this.end ? this.bytes[this.position] : 0;
  }

  /** A whole number of `min` to `max` digits. */
  digits(min: number, max: number): number {
    let value = 0;
    let count = 0;
    for (let b = this.peek(); b >= ZERO && b <= NINE && count < max; b = this.peek()) {
      value = value * 10 + (b - ZERO);
      count++;
      this.position++;
    }
    if (count < min) this.isGood = false;
    return value;
  }

  /** Digits behind a decimal mark as a fraction; 0 when there is no mark. */
  fraction(): number {
    if (!this.take('.') && !this.take(',')) return 0;
    const start = this.position;
    const value = this.digits(1, 15);
    return value / 10 ** (this.position - start);
  }

  take(letter: string): boolean {
    if (this.peek() !== letter.charCodeAt(0)) return false;
    this.position++;
    return true;
  }

  need(letter: string): void {
    if (!this.take(letter)) this.isGood = false;
  }
}

/** Second of the day of `H:MM:SS` with up to 15 decimals, bytes start to end; NaN when it is none. */
export function parseClock(bytes: Uint8Array, start: number, end: number): number {
  const cursor = new FieldCursor(bytes, start, end);
  const hour = cursor.digits(1, 2);
  cursor.need(':');
  const second = minutesAndSeconds(cursor, hour, true);
  return cursor.isGood && cursor.isAtEnd ? second : NaN;
}

/** A date with time: days since 1970 and second of that day, both in UTC. */
export interface DayAndSecond {
  readonly day: number;
  readonly second: number;
  readonly hasZone: boolean;
}

/**
 * ISO 8601 date with time, bytes start to end: `2026-03-01T09:00:00.250+01:00`, also with a blank for the T, without
 * seconds, and without a zone, which is then UTC. Undefined when it is none. Second 60 is allowed.
 */
export function parseIso8601(bytes: Uint8Array, start: number, end: number): DayAndSecond | undefined {
  const cursor = new FieldCursor(bytes, start, end);
  const year = cursor.digits(4, 4);
  cursor.need('-');
  const month = cursor.digits(2, 2);
  cursor.need('-');
  const day = cursor.digits(2, 2);
  if (!cursor.take('T') && !cursor.take('t')) cursor.need(' ');
  const hour = cursor.digits(2, 2);
  cursor.need(':');
  const second = minutesAndSeconds(cursor, hour, false);
  cursor.take(' ');
  const zone = zoneSeconds(cursor);
  if (!cursor.isGood || !cursor.isAtEnd || month < 1 || month > 12 || day < 1 || day > daysInMonth(year, month))
    return undefined;
  return { day: daysSince1970(year, month, day), second: second - (zone ?? 0), hasZone: zone !== undefined };
}

function minutesAndSeconds(cursor: FieldCursor, hour: number, needsSeconds: boolean): number {
  const minute = cursor.digits(2, 2);
  const hasSeconds = cursor.take(':');
  if (needsSeconds && !hasSeconds) cursor.isGood = false;
  const second = hasSeconds ? cursor.digits(2, 2) : 0;
  const fraction = hasSeconds ? cursor.fraction() : 0;
  if (hour > 23 || minute > 59 || second > 60) cursor.isGood = false;
  return hour * 3600 + minute * 60 + second + fraction;
}

function zoneSeconds(cursor: FieldCursor): number | undefined {
  if (cursor.take('Z') || cursor.take('z')) return 0;
  const isWest = cursor.take('-');
  if (!isWest && !cursor.take('+')) return undefined;
  const hours = cursor.digits(2, 2);
  cursor.take(':');
  const minutes = cursor.isAtEnd ? 0 : cursor.digits(2, 2);
  return (isWest ? -1 : 1) * (hours * 3600 + minutes * 60);
}

/**
 * Days from 1970-01-01 to a date of the Gregorian calendar. The year is counted from March, so that the leap day is its
 * last: H. Hinnant, “chrono-compatible low-level date algorithms”, days_from_civil (public reference).
 * @example daysSince1970(2000, 3, 1)   // 11017
 */
export function daysSince1970(year: number, month: number, day: number): number {
  const marchYear = month <= 2 ? year - 1 : year;
  const era = Math.floor(marchYear / 400);
  const yearOfEra = marchYear - era * 400;
  const dayOfYear = Math.floor((153 * (month + (month > 2 ? -3 : 9)) + 2) / 5) + day - 1;
  const dayOfEra = yearOfEra * 365 + Math.floor(yearOfEra / 4) - Math.floor(yearOfEra / 100) + dayOfYear;
  return era * 146_097 + dayOfEra - DAYS_TO_1970;
}

function daysInMonth(year: number, month: number): number {
  const isLeap = year % 4 === 0 && (year % 100 !== 0 || year % 400 === 0);
  return [31, isLeap ? 29 : 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31][month - 1] ?? 0;
}

/** Half a day: a clock that falls by more has passed midnight. */
const MIDNIGHT_DROP_S = SECONDS_PER_DAY / 2;
/** A clock that rises by more than this right after midnight has stepped back across it. */
const MIDNIGHT_RISE_S = SECONDS_PER_DAY - 3600;

/** Makes clock times continuous over midnight: falls of more than 12 h add a day. Smaller steps back stay as logged. */
export class MidnightUnwrapper {
  crossings = 0;
  private days = 0;
  private previous = NaN;

  unwrap(secondOfDay: number): number {
    const step = secondOfDay - this.previous;
    if (step < -MIDNIGHT_DROP_S) {
      this.days++;
      this.crossings++;
    } else if (step > MIDNIGHT_RISE_S && this.days > 0) {
      this.days--;
    }
    this.previous = secondOfDay;
    return this.days * SECONDS_PER_DAY + secondOfDay;
  }
}

import { formatNumber } from './quantity.js';

const MONTHS = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sept', 'Oct', 'Nov', 'Dec'];

/** An instant with its zone: “3 Mar 2026, 14:05 UTC+1”. Null becomes a dash. */
export function formatInstant(iso: string | null): string {
  if (iso === null) return '–';
  const moment = new Date(iso);
  const [hours, minutes] = [moment.getHours(), moment.getMinutes()].map(twoDigits);
  return `${dayOf(moment)}, ${hours}:${minutes} ${zoneName(moment)}`;
}

/** A day with the zone that it is counted in: “3 Mar 2026, UTC+1”. Null becomes a dash. */
export function formatDay(iso: string | null): string {
  if (iso === null) return '–';
  const moment = new Date(iso);
  return `${dayOf(moment)}, ${zoneName(moment)}`;
}

function dayOf(moment: Date): string {
  return `${moment.getDate()} ${MONTHS[moment.getMonth()]} ${moment.getFullYear()}`;
}

/**
 * The zone of this computer at a moment, as its distance from UTC: “UTC+1”, “UTC+5:30”. Names of zones come from `Intl`,
 * whose first format takes a slow machine a sixth of a second.
 */
export function zoneName(moment = new Date()): string {
  return zoneAt(-moment.getTimezoneOffset());
}

/** The name of a zone that is so far ahead of UTC (min). */
export function zoneAt(aheadMin: number): string {
  if (aheadMin === 0) return 'UTC';
  const [hours, minutes] = [Math.floor(Math.abs(aheadMin) / 60), Math.abs(aheadMin) % 60];
  return `UTC${aheadMin < 0 ? '\u2212' : '+'}${hours}${minutes === 0 ? '' : `:${twoDigits(minutes)}`}`;
}

function twoDigits(value: number): string {
  return String(value).padStart(2, '0');
}

/** A length of time in a drive: “42.5 s”, “12 min 05 s”, “3 h 20 min”. Null becomes a dash. */
export function formatDuration(seconds: number | null): string {
  if (seconds === null) return '–';
  if (seconds < 60) return `${formatNumber(seconds, seconds < 10 ? 2 : 1)}\u202fs`;
  if (seconds < 3600) {
    const whole = Math.round(seconds);
    return `${Math.floor(whole / 60)}\u202fmin ${String(whole % 60).padStart(2, '0')}\u202fs`;
  }
  const minutes = Math.round(seconds / 60);
  return `${formatNumber(Math.floor(minutes / 60), 0)}\u202fh ${String(minutes % 60).padStart(2, '0')}\u202fmin`;
}

/** Elapsed time since the start of a drive: “2:07.35” (minutes, seconds), with hours when there are any. */
export function formatElapsed(seconds: number, digits = 2): string {
  const scale = 10 ** digits;
  const total = Math.round(seconds * scale);
  const rest = total % (60 * scale);
  const minutes = Math.floor(total / (60 * scale));
  const secondsText = (rest / scale).toFixed(digits).padStart(digits === 0 ? 2 : digits + 3, '0');
  if (minutes < 60) return `${minutes}:${secondsText}`;
  return `${Math.floor(minutes / 60)}:${String(minutes % 60).padStart(2, '0')}:${secondsText}`;
}

/** Reads what `formatElapsed` writes, and plain seconds: “2:07.35”, “1:02:05.5”, “127.35”. Undefined for anything else. */
export function parseElapsed(text: string): number | undefined {
  const match = /^(?:(?:(\d+):)?(\d+):)?(\d+(?:[.,]\d+)?)$/.exec(text.trim());
  if (match === null) return undefined;
  const [, hours = '0', minutes = '0', seconds = '0'] = match;
  return 3600 * Number(hours) + 60 * Number(minutes) + Number(seconds.replace(',', '.'));
}

/** A time of a drive as addresses hold it (s): a millisecond is finer than any sample, and keeps them short. */
export function toMilliseconds(timeS: number): number {
  return Math.round(timeS * 1000) / 1000;
}

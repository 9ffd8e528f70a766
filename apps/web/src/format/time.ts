import { formatNumber } from './quantity.js';

const DAY = { day: 'numeric', month: 'short', year: 'numeric', timeZoneName: 'short' } as const;
const INSTANT = { ...DAY, hour: '2-digit', minute: '2-digit' } as const;

/** A format takes long to make: it is made when first written with, and kept. */
function lazily(options: Intl.DateTimeFormatOptions): () => Intl.DateTimeFormat {
  let made: Intl.DateTimeFormat | undefined;
  return () => {
    made ??= new Intl.DateTimeFormat('en-GB', options);
    return made;
  };
}

const instantFormat = lazily(INSTANT);
const dayFormat = lazily(DAY);

/** An instant with its zone: “3 Mar 2026, 14:05 CET”. Null becomes a dash. */
export function formatInstant(iso: string | null): string {
  return iso === null ? '–' : instantFormat().format(new Date(iso));
}

/** A day with the zone that it is counted in: “3 Mar 2026, CET”. Null becomes a dash. */
export function formatDay(iso: string | null): string {
  return iso === null ? '–' : dayFormat().format(new Date(iso));
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

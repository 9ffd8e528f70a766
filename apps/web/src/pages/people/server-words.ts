import type { ServerStatus } from '@syncline/contract';
import { counted, formatBytes } from '../../format/quantity.js';

const HOUR_MS = 3600_000;

type Backups = ServerStatus['backups'];

/** How the backups stand, and what to do where they do not stand well. */
export interface BackupState {
  readonly isAlarming: boolean;
  readonly words: string;
  readonly remedy: string;
}

export function backupState(
  {
    items,
    isLate,
    isRunning,
    lastFault,
    everyHours,
  }: Pick<Backups, 'items' | 'isLate' | 'isRunning' | 'lastFault' | 'everyHours'>,
  nowMs: number,
): BackupState {
  const newest = items[0];
  const age =
    newest === undefined ? 'There is no backup' : `The newest backup is ${ageWords(newest.takenAt, nowMs)} old`;
  if (lastFault !== null) {
    return {
      isAlarming: true,
      words: 'The last backup failed',
      remedy: `${lastFault.words} ${age}; it is tried again every ten minutes.`,
    };
  }
  if (isLate)
    return {
      isAlarming: true,
      words: age,
      remedy: 'Look into the log of the server, or make one with npm run backup.',
    };
  if (newest === undefined && everyHours === 0) {
    return {
      isAlarming: true,
      words: age,
      remedy: 'None is made by itself: make one with npm run backup, or set SYNCLINE_BACKUP_HOURS.',
    };
  }
  if (newest !== undefined && newest.missing.length > 0) {
    return {
      isAlarming: true,
      words: 'The newest backup lacks files',
      remedy: 'They are missing in the data folder: npm run verify:data names them.',
    };
  }
  return { isAlarming: false, words: isRunning ? `${age}; one is being made` : age, remedy: '' };
}

/** The age of an instant in the largest unit of which there are two. */
export function ageWords(at: string, nowMs: number): string {
  const hours = Math.max(0, nowMs - Date.parse(at)) / HOUR_MS;
  if (hours < 2) return `${Math.round(hours * 60)} min`;
  return hours < 48 ? `${Math.floor(hours)} h` : `${Math.floor(hours / 24)} days`;
}

export function backupRule({ everyHours, keepDaily, keepWeekly }: Backups): string {
  const rhythm = everyHours === 0 ? 'None is made by itself.' : `One every ${everyHours} h;`;
  return `${rhythm} kept are the newest of ${keepDaily} days and of ${keepWeekly} weeks.`;
}

/** What the server was started with, each with the name it is set by. Secrets never leave the server. */
export function settingWords(settings: ServerStatus['settings']) {
  const { keepOriginalsDays, signInIssuer, mailFrom } = settings;
  return [
    { title: 'Address', words: settings.publicUrl ?? 'the one it listens on', name: 'SYNCLINE_PUBLIC_URL' },
    {
      title: 'Originals',
      words: keepOriginalsDays === 0 ? 'kept for good' : `kept for ${counted(keepOriginalsDays, 'day')}`,
      name: 'SYNCLINE_KEEP_ORIGINALS_DAYS',
    },
    { title: 'Largest file', words: formatBytes(settings.maxLogBytes), name: 'SYNCLINE_MAX_LOG_BYTES' },
    { title: 'Room of a tester', words: formatBytes(settings.testerQuotaBytes), name: 'SYNCLINE_TESTER_QUOTA_BYTES' },
    { title: 'Analysis', words: counted(settings.workerCount, 'thread'), name: 'SYNCLINE_WORKERS' },
    {
      title: 'Second factor',
      words: settings.secondFactor === 'optional' ? 'for who wants it' : 'demanded of maintainers',
      name: 'SYNCLINE_SECOND_FACTOR',
    },
    { title: 'Sign-in provider', words: signInIssuer ?? 'none', name: 'SYNCLINE_OPENID_ISSUER' },
    { title: 'Mail', words: mailFrom === null ? 'none is sent' : `from ${mailFrom}`, name: 'SYNCLINE_SMTP_URL' },
    {
      title: 'Web hooks',
      words: settings.hooksToPrivate ? 'may lead to private addresses' : 'to the open internet only',
      name: 'SYNCLINE_HOOKS_TO_PRIVATE',
    },
    {
      title: 'Metrics',
      words: settings.hasMetrics ? 'for who has the token' : 'none',
      name: 'SYNCLINE_METRICS_TOKEN',
    },
  ];
}

import { z } from 'zod';
import { instant } from './common.js';

const count = z.number().int().nonnegative();

export const backupSummary = z.object({
  name: z.string().describe('folder below that of the backups'),
  takenAt: instant,
  totalBytes: count,
  fileCount: count,
  schemaVersion: count,
  counts: z.object({ people: count, vehicles: count, logs: count, revisions: count, auditEntries: count }),
  auditHead: z.string().nullable(),
  hasSigningKey: z.boolean(),
  missing: z.array(z.string()).describe('files that were not there when it was made'),
});
export type BackupSummary = z.infer<typeof backupSummary>;

/** How the server is, for who runs it. */
export const serverStatus = z.object({
  version: z.string(),
  startedAt: instant,
  schemaVersion: count,
  isReady: z.boolean(),
  faults: z.array(z.string()),
  databaseBytes: count,
  freeBytes: count,
  reserveBytes: count.describe('below so much free space uploads are refused'),
  folderWarning: z.string().nullable(),
  restored: z
    .object({ at: instant, words: z.string() })
    .nullable()
    .describe('when the data were last made from a backup, and from which'),
  settings: z
    .object({
      publicUrl: z.string().nullable(),
      keepOriginalsDays: count.describe('0 keeps originals for good'),
      maxLogBytes: count,
      testerQuotaBytes: count,
      workerCount: count,
      secondFactor: z.enum(['optional', 'maintainers']),
      signInIssuer: z.string().nullable().describe('of the OpenID provider; null for none'),
      mailFrom: z.string().nullable().describe('null: no mail is sent'),
      hooksToPrivate: z.boolean(),
      hasMetrics: z.boolean(),
    })
    .describe('what it was started with, without secrets'),
  jobs: z.object({ queued: count, running: count, waiting: count, failed: count, done: count }),
  backups: z.object({
    folder: z.string(),
    everyHours: count.describe('0 for none by itself'),
    keepDaily: count,
    keepWeekly: count,
    isLate: z.boolean(),
    isRunning: z.boolean(),
    lastFault: z
      .object({ at: instant, words: z.string() })
      .nullable()
      .describe('of this process, since its last good one'),
    items: z.array(backupSummary).describe('newest first'),
  }),
});
export type ServerStatus = z.infer<typeof serverStatus>;

import { rm } from 'node:fs/promises';
import { join } from 'node:path';
import {
  type BackupSummary,
  backupNames,
  listBackups,
  type MadeBackup,
  planRetention,
  type Store,
} from '@syncline/store';
import type { FastifyBaseLogger } from 'fastify';
import type { BackupSettings } from '../settings.js';

const HOUR_MS = 3600_000;
/** The next one may be late by this part of the time between two before anybody is told. */
const LATENESS = 0.5;
/** Backups whose manifests are read for a page. */
const SHOWN = 30;

export interface BackupState {
  readonly isLate: boolean;
  readonly isRunning: boolean;
  readonly lastFault: { readonly atMs: number; readonly words: string } | null;
  readonly items: readonly BackupSummary[];
}

export type BackupService = ReturnType<typeof createBackupService>;

/** Backups of a running server: makes them, keeps the right ones, tells how old the newest is. */
export function createBackupService(
  store: Pick<Store, 'backUp' | 'read'>,
  { settings, clock, log }: { settings: BackupSettings; clock: () => number; log: FastifyBaseLogger },
) {
  const { folder, everyHours, keepDaily: daily, keepWeekly: weekly } = settings;
  let running: Promise<MadeBackup> | undefined;
  let lastFault: BackupState['lastFault'] = null;

  async function makeAndKeepRight(): Promise<MadeBackup> {
    const beganAt = performance.now();
    try {
      const made = await store.backUp(folder);
      const removed = planRetention(backupNames(folder), { daily, weekly });
      for (const name of removed) await rm(join(folder, name), { recursive: true, force: true });
      lastFault = null;
      const { name, totalBytes, copiedBytes, missing } = made;
      const seconds = (performance.now() - beganAt) / 1000;
      log.info({ event: 'backup.done', name, totalBytes, copiedBytes, seconds, removed: removed.length });
      if (missing.length > 0) log.error({ event: 'backup.incomplete', name, missing });
      return made;
    } catch (error) {
      lastFault = { atMs: clock(), words: error instanceof Error ? error.message : String(error) };
      log.error({ event: 'backup.failed', err: error });
      throw error;
    }
  }

  /** Of the newest that is whole, else of the founding of the club: there was nothing to lose before. */
  function ageMs(): number | undefined {
    const since = listBackups(folder, 1)[0]?.takenAtMs ?? store.read.people.findClub()?.createdAtMs;
    return since === undefined ? undefined : clock() - since;
  }

  return {
    settings,

    /** Never two at once: who asks meanwhile gets the one under way. */
    make(): Promise<MadeBackup> {
      running ??= makeAndKeepRight().finally(() => {
        running = undefined;
      });
      return running;
    },

    isDue: () => everyHours > 0 && (ageMs() ?? 0) >= everyHours * HOUR_MS,
    lastAtMs: () => listBackups(folder, 1)[0]?.takenAtMs ?? null,
    /** Resolves once none is under way. */
    settled: () => running?.then(() => {}).catch(() => {}) ?? Promise.resolve(),

    state: (): BackupState => ({
      isLate: everyHours > 0 && (ageMs() ?? 0) > everyHours * (1 + LATENESS) * HOUR_MS,
      isRunning: running !== undefined,
      lastFault,
      items: listBackups(folder, SHOWN),
    }),
  };
}

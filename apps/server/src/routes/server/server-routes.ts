import { serverStatus } from '@syncline/contract';
import type { Store } from '@syncline/store';
import type { BackupService } from '../../services/backups.js';
import type { Readiness } from '../../services/readiness.js';
import { VERSION } from '../../version.js';
import type { App } from '../app.js';
import { toInstant } from '../format.js';

interface ServerRoutesOptions {
  readonly store: Store;
  readonly backups: BackupService;
  readonly readiness: () => Readiness;
  readonly startedAtMs: number;
  readonly minFreeBytes: number;
  readonly keepOriginalsDays: number;
}

/** How the server is, for who runs it. */
export function addServerRoutes(app: App, options: ServerRoutesOptions): void {
  const { store, backups, readiness, startedAtMs, minFreeBytes, keepOriginalsDays } = options;
  app.get('/server', { config: { access: 'audit:read' }, schema: { response: { 200: serverStatus } } }, async () => {
    const { schemaVersion, databaseBytes, freeBytes, warning } = store.status();
    const { lastFault, items, ...state } = backups.state();
    return {
      version: VERSION,
      startedAt: toInstant(startedAtMs),
      schemaVersion,
      ...readiness(),
      faults: [...readiness().faults],
      databaseBytes,
      freeBytes,
      reserveBytes: minFreeBytes,
      folderWarning: warning,
      keepOriginalsDays,
      jobs: store.read.jobs.countByState(),
      backups: {
        ...backups.settings,
        ...state,
        lastFault: lastFault && { at: toInstant(lastFault.atMs), words: lastFault.words },
        items: items.map(({ takenAtMs, ...item }) => ({
          ...item,
          takenAt: toInstant(takenAtMs),
          missing: [...item.missing],
        })),
      },
    };
  });
}

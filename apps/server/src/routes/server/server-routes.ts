import { type ServerStatus, serverStatus } from '@syncline/contract';
import type { Store } from '@syncline/store';
import type { BackupService } from '../../services/backups.js';
import type { Readiness } from '../../services/readiness.js';
import type { Settings } from '../../settings.js';
import { VERSION } from '../../version.js';
import type { App } from '../app.js';
import { toInstant } from '../format.js';

interface ServerRoutesOptions {
  readonly store: Store;
  readonly backups: BackupService;
  readonly readiness: () => Readiness;
  readonly startedAtMs: number;
  readonly settings: Settings;
}

/** Without secrets: what is left out here is shown to nobody. */
function toShownSettings(settings: Settings): ServerStatus['settings'] {
  const { keepOriginalsDays, maxLogBytes, testerQuotaBytes, workerCount, secondFactor, hooksToPrivate } = settings;
  return {
    publicUrl: settings.publicUrl ?? null,
    keepOriginalsDays,
    maxLogBytes,
    testerQuotaBytes,
    workerCount,
    secondFactor,
    signInIssuer: settings.openId?.issuer ?? null,
    mailFrom: settings.mail?.from ?? null,
    hooksToPrivate,
    hasMetrics: settings.metricsToken !== undefined,
  };
}

function lastRestore({ read }: Store): ServerStatus['restored'] {
  const [entry] = read.audit.list({ limit: 1 }, { action: 'data.restore' }).items;
  return entry ? { at: toInstant(entry.atMs), words: entry.detail } : null;
}

/** How the server is, for who runs it. */
export function addServerRoutes(app: App, options: ServerRoutesOptions): void {
  const { store, backups, readiness, startedAtMs, settings } = options;
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
      reserveBytes: settings.minFreeBytes,
      folderWarning: warning,
      restored: lastRestore(store),
      settings: toShownSettings(settings),
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

import { createHash } from 'node:crypto';
import { existsSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { createIds } from '@syncline/server';
import { backupNames, openStore, restoreBackup, type Store, verifyBackup } from '@syncline/store';

interface Manifest {
  readonly auditHead: string | null;
  readonly files: readonly { readonly path: string; readonly sha256: string }[];
}

/** Opens a data folder with real clock and ids, for as long as the work takes. */
export async function withStore<T>(folder: string, work: (store: Store) => T | Promise<T>): Promise<T> {
  const store = openStore({ folder, clock: Date.now, ids: createIds(Date.now), minFreeBytes: 0 });
  try {
    return await work(store);
  } finally {
    store.close();
  }
}

/** Reads each backup that is new whole, restores it and reads that; adds its faults by its name. */
export async function judgeBackups(backupFolder: string, faults: Map<string, readonly string[]>): Promise<void> {
  for (const name of backupNames(backupFolder).filter((found) => !faults.has(found))) {
    const path = join(backupFolder, name);
    const target = join(backupFolder, `restored-${name}`);
    faults.set(name, [...(await verifyBackup(path)).faults, ...(await restoredFaults(path, target))]);
    rmSync(target, { recursive: true, force: true });
  }
}

/** How many broke off, and have no name for that. */
export function unfinishedBackups(backupFolder: string): number {
  return readdirSync(backupFolder).filter((name) => name.endsWith('.part')).length;
}

async function restoredFaults(path: string, target: string): Promise<string[]> {
  const manifest = JSON.parse(readFileSync(join(path, 'manifest.json'), 'utf8')) as Manifest;
  await restoreBackup(path, target);
  const faults = manifest.files
    .filter((file) => !existsSync(join(target, file.path)) || sha256Of(join(target, file.path)) !== file.sha256)
    .map((file) => `${file.path} was restored as something else`);
  await withStore(target, async (store) => {
    const { read } = store;
    faults.push(...(await store.verifyData()).faults);
    if (read.releases.listWatched().length > 0) faults.push('a release goes on after a restore');
    const trail = read.audit.after(0, Number.MAX_SAFE_INTEGER);
    const headIndex = trail.findIndex(({ hash }) => hash === manifest.auditHead);
    if (trail[headIndex + 1]?.action !== 'data.restore')
      faults.push('the trail does not go on from that of the backup');
  });
  return faults;
}

const sha256Of = (file: string) => createHash('sha256').update(readFileSync(file)).digest('hex');

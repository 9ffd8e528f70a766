import { rm } from 'node:fs/promises';
import { join } from 'node:path';
import { backupNames, openReadOnly, planRetention } from '@syncline/store';
import { BAD, GOOD, runCommand, UNUSABLE } from './command.js';
import { loadSettings } from './settings.js';

const USAGE = `Usage: npm run backup

Copies the data folder (SYNCLINE_DATA) as it is now into a new folder below SYNCLINE_BACKUP_FOLDER, and removes the
backups that the settings do not keep. The server may run meanwhile. The backup holds the private signing key, e-mail
addresses and password hashes: keep it as safe as the server.

Exit code: 0 made, 1 made but files were missing, 2 not made.
`;

await runCommand(async (args) => {
  if (args.length > 0) {
    process.stderr.write(USAGE);
    return UNUSABLE;
  }
  const { dataFolder, backups } = loadSettings();
  const store = openReadOnly({ folder: dataFolder, clock: Date.now });
  try {
    const made = await store.backUp(backups.folder);
    const keep = { daily: backups.keepDaily, weekly: backups.keepWeekly };
    const removed = planRetention(backupNames(backups.folder), keep);
    for (const name of removed) await rm(join(backups.folder, name), { recursive: true, force: true });
    process.stdout.write(
      `${made.path}\n  ${made.fileCount} files, ${made.totalBytes} bytes; ${made.linkedCount} shared with the backup before\n` +
        `  ${made.hasSigningKey ? 'with' : 'WITHOUT'} the signing key; audit head ${made.auditHead ?? 'none'}\n` +
        `  removed by age: ${removed.length === 0 ? 'none' : removed.join(', ')}\n`,
    );
    for (const path of made.missing) process.stdout.write(`MISSING in the data folder: ${path}\n`);
    return made.missing.length === 0 ? GOOD : BAD;
  } finally {
    store.close();
  }
});

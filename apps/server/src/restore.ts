import { openStore, restoreBackup } from '@syncline/store';
import { GOOD, runCommand, typedPath, UNUSABLE } from './command.js';
import { createIds } from './ids.js';

const USAGE = `Usage: npm run restore -- <folder of one backup> <new data folder>

Makes a data folder from a backup. The folder must be new or empty: nothing is ever written over. Each file is checked
while it is copied. Afterwards start the server on it with SYNCLINE_DATA.

Exit code: 0 restored, 2 not restored, and nothing left behind.
`;

await runCommand(async ([path, folder, ...rest]) => {
  if (path === undefined || folder === undefined || rest.length > 0) {
    process.stderr.write(USAGE);
    return UNUSABLE;
  }
  const target = typedPath(folder);
  const { takenAtMs, fileCount, totalBytes, counts } = await restoreBackup(typedPath(path), target);
  // Brings an older schema up to date, and shows that the folder can be opened.
  openStore({ folder: target, clock: Date.now, ids: createIds(Date.now) }).close();
  process.stdout.write(
    `${target}\n  as of ${new Date(takenAtMs).toISOString()}: ${fileCount} files, ${totalBytes} bytes, ${counts.people} ` +
      `people, ${counts.logs} logs\n  Start the server with SYNCLINE_DATA=${target}\n`,
  );
  return GOOD;
});

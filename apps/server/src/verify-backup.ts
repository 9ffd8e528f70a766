import { verifyBackup } from '@syncline/store';
import { BAD, GOOD, runCommand, typedPath, UNUSABLE } from './command.js';

const USAGE = `Usage: npm run verify:backup -- <folder of one backup>

Reads all of it: each file by its hash, the database by its own check, each original against its row, every summary
against its shifts, and the audit trail by its chain.

Exit code: 0 whole, 1 not so, 2 cannot be told.
`;

await runCommand(async ([path, ...rest]) => {
  if (path === undefined || rest.length > 0) {
    process.stderr.write(USAGE);
    return UNUSABLE;
  }
  const { summary, faults } = await verifyBackup(typedPath(path));
  const { takenAtMs, fileCount, totalBytes, counts, auditHead } = summary;
  process.stdout.write(
    `Backup of ${new Date(takenAtMs).toISOString()}: ${fileCount} files, ${totalBytes} bytes, ${counts.logs} logs of ` +
      `${counts.vehicles} cars, ${counts.auditEntries} audit entries.\n  head  ${auditHead ?? 'none'}\n`,
  );
  for (const fault of faults) process.stdout.write(`FAULT: ${fault}\n`);
  process.stdout.write(faults.length === 0 ? 'Whole.\n' : `${faults.length} faults.\n`);
  return faults.length === 0 ? GOOD : BAD;
});

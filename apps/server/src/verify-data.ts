import { openReadOnly } from '@syncline/store';
import { BAD, GOOD, runCommand, typedPath, UNUSABLE } from './command.js';

const USAGE = `Usage: npm run verify:data -- <data folder>

Reads everything again and holds it against itself: pages and references of the database, each original by its hash,
signal files, summaries by counting every shift, and the audit trail by its chain and its times. It only reads, and may
run beside the server.

Exit code: 0 all well (remarks do not count), 1 not so, 2 cannot be told.
`;

await runCommand(async ([path, ...rest]) => {
  if (path === undefined || rest.length > 0) {
    process.stderr.write(USAGE);
    return UNUSABLE;
  }
  const store = openReadOnly({ folder: typedPath(path), clock: Date.now });
  try {
    const { faults, remarks, auditHead } = await store.verifyData();
    for (const fault of faults) process.stdout.write(`FAULT: ${fault}\n`);
    for (const remark of remarks) process.stdout.write(`Remark: ${remark}\n`);
    process.stdout.write(
      `${faults.length === 0 ? 'All well' : `${faults.length} faults`}.\n  head  ${auditHead ?? 'none'}\n`,
    );
    return faults.length === 0 ? GOOD : BAD;
  } finally {
    store.close();
  }
});

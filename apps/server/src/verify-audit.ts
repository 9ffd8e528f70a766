import { createReadStream, statSync } from 'node:fs';
import { resolve } from 'node:path';
import { createInterface } from 'node:readline';
import { openReadOnly, StoreError } from '@syncline/store';
import { createAuditTrailService } from './services/audit-trail.js';
import { checkExport, UnusableExportError } from './services/check-export.js';

const USAGE = `Usage: npm run verify:audit -- <data folder or audit.jsonl> [head hash]

  data folder   of a server, which may be running; its database is only read
  audit.jsonl   a whole export of the audit trail, as /api/v1/audit.jsonl sends it without filters
  head hash     the hash of a last entry that was written down earlier: it must still be in the trail

Exit code: 0 every entry is as it was written, 1 not so, 2 cannot be told.
`;

/** Exit codes. */
const WHOLE = 0;
const BROKEN = 1;
const UNUSABLE = 2;

async function run([place, headHash, ...rest]: readonly string[]): Promise<number> {
  if (place === undefined || rest.length > 0) {
    process.stderr.write(USAGE);
    return UNUSABLE;
  }
  // npm runs scripts in the folder of the project, wherever it was called.
  const path = resolve(process.env.INIT_CWD ?? '', place);
  const isFolder = statSync(path, { throwIfNoEntry: false })?.isDirectory() ?? false;
  const { verdict, hasHead } = isFolder ? await checkFolder(path, headHash) : await checkFile(path, headHash);
  if (verdict.kind === 'broken') {
    process.stdout.write(
      `BROKEN at entry ${verdict.entryId}: ${verdict.reason}.\n  ${verdict.entryCount} entries before it are as they were written.\n`,
    );
    return BROKEN;
  }
  if (!hasHead) {
    process.stdout.write(`BROKEN: no entry has the hash ${headHash}; the end of the trail was cut off or made anew.\n`);
    return BROKEN;
  }
  process.stdout.write(`Whole: ${verdict.entryCount} entries.\n  head  ${verdict.headHash}\n`);
  return WHOLE;
}

async function checkFolder(folder: string, headHash: string | undefined) {
  const store = openReadOnly({ folder, clock: Date.now });
  try {
    const trail = createAuditTrailService(store);
    return { verdict: await trail.check(), hasHead: headHash === undefined || (await trail.hasHash(headHash)) };
  } finally {
    store.close();
  }
}

async function checkFile(path: string, headHash: string | undefined) {
  return checkExport(createInterface({ input: createReadStream(path), crlfDelay: Number.POSITIVE_INFINITY }), headHash);
}

try {
  process.exitCode = await run(process.argv.slice(2));
} catch (error) {
  const isExpected =
    error instanceof UnusableExportError || error instanceof StoreError || (error instanceof Error && 'code' in error);
  if (!isExpected) throw error;
  process.stderr.write(`Cannot verify: ${error.message}\n`);
  process.exitCode = UNUSABLE;
}

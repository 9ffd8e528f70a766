import { createReadStream, createWriteStream, mkdtempSync, readFileSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pipeline } from 'node:stream/promises';
import { createGunzip, createGzip, inflateSync } from 'node:zlib';
import type { SignalMapDocument } from '@syncline/contract';
import { inspectMdf, memoryAccess, suggestSignalMap } from '@syncline/drivelog';
import { BenchClub, headOf } from './bench-club.ts';
import { type FigureRow, printRow, spreadOf } from './figures.ts';
import { longDriveFile } from './long-drive.ts';
import { writeMdfOf } from './mdf-file.ts';

const MIB = 2 ** 20;

/** The whole job on one drive in three forms: CSV, the same in gzip, and MDF. */
export async function benchForms(megabytes: number): Promise<unknown> {
  const csv = await longDriveFile(megabytes);
  const scratch = mkdtempSync(join(tmpdir(), 'syncline-bench-'));
  console.log(`\nOne drive in three forms; as CSV it has ${megabytes} MB`);
  try {
    const [gzip, mdf] = [join(scratch, 'drive.csv.gz'), join(scratch, 'drive.mf4')];
    await pipeline(createReadStream(csv), createGzip(), createWriteStream(gzip));
    await writeMdfOf(csv, mdf);
    const rows: FigureRow[] = [];
    const shiftCounts: number[] = [];
    for (const [what, path] of Object.entries({ CSV: csv, 'CSV in gzip': gzip, MDF: mdf })) {
      const { seconds, peakBytes, shiftCount } = await analysed(path, headOf(csv), mapOfMdf(mdf));
      rows.push(once(`whole job, ${what} (${(statSync(path).size / 1e6).toFixed(0)} MB)`, 's', seconds));
      rows.push(once('  peak memory', 'MiB', peakBytes / MIB));
      shiftCounts.push(shiftCount);
    }
    rows.push(once('unpacking the gzip alone', 's', await unpackingS(gzip)));
    for (const row of rows) printRow(row);
    console.log(`shifts found: ${shiftCounts.join(', ')}`);
    if (new Set(shiftCounts).size > 1) throw new Error('the forms of one drive gave different shifts');
    return { megabytes, rows, shiftCounts };
  } finally {
    rmSync(scratch, { recursive: true, force: true });
  }
}

/** Has a fresh server analyse a file that is the only one in its store. */
async function analysed(path: string, head: Uint8Array, mdfMap: SignalMapDocument) {
  const club = new BenchClub({ SYNCLINE_WORKERS: '1', SYNCLINE_MAX_LOG_BYTES: String(8 * 1024 * MIB) });
  try {
    const { tester, vehicleId } = await club.found(head);
    await tester.put(`/vehicles/${vehicleId}/signal-map?format=mdf`, mdfMap);
    await club.stop();
    const logId = await club.addLog(path, path);
    await club.start();
    await club.ready(logId);
    const seconds = await club.jobSeconds();
    const { peakBytes } = club;
    await club.stop();
    return { seconds, peakBytes, shiftCount: await club.withStore((store) => store.read.shifts.ofLog(logId).length) };
  } finally {
    await club.end();
  }
}

/** The map that the channels suggest. */
function mapOfMdf(path: string): SignalMapDocument {
  const access = memoryAccess(readFileSync(path));
  const { map } = suggestSignalMap(
    inspectMdf(access, (bytes, outputSize) => inflateSync(bytes, { maxOutputLength: outputSize })),
  );
  if (map === null) throw new Error('no signal map was suggested');
  return map as unknown as SignalMapDocument;
}

async function unpackingS(path: string): Promise<number> {
  const began = performance.now();
  await pipeline(createReadStream(path), createGunzip({ chunkSize: 1 << 18 }), async (chunks) => {
    for await (const _ of chunks);
  });
  return (performance.now() - began) / 1000;
}

function once(what: string, unit: string, value: number): FigureRow {
  return { what, unit, spread: spreadOf([value]) };
}

import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { setImmediate as nextTurn } from 'node:timers/promises';
import { auditReads } from '../audit/audit-reads.js';
import { ChainCheck } from '../audit/chain.js';
import { checkBlobs } from '../blobs/check-files.js';
import type { Db } from '../database/context.js';
import { findSummaryDifferences } from '../fleet/summaries.js';
import { releaseFaults } from './check-releases.js';

/** Audit entries read at once. */
const BATCH = 1000;
/** A clock that is set right by less than this is no jump (ms). */
const CLOCK_TOLERANCE_MS = 60_000;
/** What is said of each kind of fault; the rest is counted. */
const MAX_TOLD = 20;

export interface DataVerdict {
  /** What is wrong with the data, in words; empty when all is well. */
  readonly faults: readonly string[];
  /** What is worth knowing and wrong with nothing: times that cannot be right. */
  readonly remarks: readonly string[];
  /** Of the last audit entry, null for an empty trail or one that breaks. */
  readonly auditHead: string | null;
}

/**
 * Reads everything again and holds it against itself: pages of the database, references, originals by their hash, signal
 * files, summaries by counting every shift, logs by their bytes, releases by their events, and the audit trail by its
 * chain and its times. Long.
 * `now` tells what lies in the future; null leaves that out.
 */
export async function verifyData(db: Db, folder: string, now: number | null): Promise<DataVerdict> {
  const sqlite = db.$client;
  const integrity = sqlite.pragma('integrity_check', { simple: true });
  if (integrity !== 'ok') {
    return { faults: [`the database is damaged: ${String(integrity)}`], remarks: [], auditHead: null };
  }
  const orphans = sqlite.pragma('foreign_key_check') as readonly { readonly table: string }[];
  const blobs = await checkBlobs(db, folder);
  const trail = await checkTrail(db, now);
  const faults = [
    ...told(orphans, ({ table }) => `a row of ${table} refers to nothing`),
    ...told(blobs.missing, (sha256) => `the original ${sha256} is missing`),
    ...told(blobs.altered, (sha256) => `the original ${sha256} is not what was uploaded`),
    ...told(missingSignalFiles(db, folder), (name) => `the signal file ${name} is missing: analyse its log anew`),
    ...told(doubledLogs(db), (sha256) => `the bytes ${sha256} are more than one log of a car`),
    ...told(findSummaryDifferences(db), ({ key }) => `the summary ${key} says something else than its shifts`),
    ...told(releaseFaults(db), (fault) => fault),
    ...(trail.fault === undefined ? [] : [trail.fault]),
  ];
  const remarks = [
    ...told(trail.jumps, (jump) => jump),
    ...told(trail.future, (entry) => entry),
    ...told(blobs.orphaned, (path) => `${path} belongs to nothing and is removed after a day`),
    ...(now === null ? [] : told(futureLogs(db, now), (id) => `log ${id} was uploaded in the future`)),
  ];
  return { faults, remarks, auditHead: trail.head };
}

function told<T>(items: readonly T[], say: (item: T) => string): string[] {
  const words = items.slice(0, MAX_TOLD).map(say);
  return items.length > MAX_TOLD ? [...words, `and ${items.length - MAX_TOLD} more of this kind`] : words;
}

/** A clock that went back shows where an entry is older than the one before it. */
async function checkTrail(db: Db, now: number | null) {
  const audit = auditReads(db);
  const chain = new ChainCheck();
  const jumps: string[] = [];
  const future: string[] = [];
  let lastAtMs = Number.NEGATIVE_INFINITY;
  for (let afterId = 0; ; ) {
    const entries = audit.after(afterId, BATCH);
    if (entries.length === 0 || !chain.take(entries)) break;
    for (const { id, atMs } of entries) {
      if (atMs < lastAtMs - CLOCK_TOLERANCE_MS) {
        jumps.push(`the clock went back by ${seconds(lastAtMs - atMs)} s before audit entry ${id}`);
      }
      if (now !== null && atMs > now + CLOCK_TOLERANCE_MS) {
        future.push(`audit entry ${id} is of the future, by ${seconds(atMs - now)} s`);
      }
      lastAtMs = atMs;
    }
    afterId = entries[entries.length - 1].id;
    await nextTurn();
  }
  const verdict = chain.verdict();
  if (verdict.kind === 'whole')
    return { head: verdict.entryCount === 0 ? null : verdict.headHash, jumps, future, fault: undefined };
  return { head: null, jumps, future, fault: `the audit trail breaks at entry ${verdict.entryId}: ${verdict.reason}` };
}

const seconds = (ms: number) => Math.round(ms / 1000);

function missingSignalFiles({ $client }: Db, folder: string): string[] {
  const names = $client
    .prepare('SELECT signal_file FROM log_artefacts WHERE signal_file IS NOT NULL ORDER BY 1')
    .pluck()
    .all() as string[];
  return names.filter((name) => !existsSync(join(folder, 'signals', name)));
}

function doubledLogs({ $client }: Db): string[] {
  return $client
    .prepare('SELECT sha256 FROM logs GROUP BY vehicle_id, sha256 HAVING count(*) > 1')
    .pluck()
    .all() as string[];
}

function futureLogs({ $client }: Db, now: number): string[] {
  return $client
    .prepare('SELECT id FROM logs WHERE uploaded_at_ms > ? ORDER BY id')
    .pluck()
    .all(now + CLOCK_TOLERANCE_MS) as string[];
}

import { eq } from 'drizzle-orm';
import { renewCandidate } from '../analysis-runs/renew-candidate.js';
import type { WriteContext } from '../database/context.js';
import { insertRows } from '../database/insert-rows.js';
import { changeShiftsOf } from '../fleet/summaries.js';
import { endJob } from '../jobs/end-job.js';
import { lockUps, logArtefacts, logs } from '../schema/logs.js';
import { shifts } from '../schema/shifts.js';
import { vehicles } from '../schema/vehicles.js';
import { type ShiftOrigin, toShiftRow } from '../shifts/shift-row.js';
import { StoreError } from '../store-error.js';
import { installedAt } from './installed-at.js';
import type { AnalysisResult } from './logs.js';
import { setLogState } from './set-log-state.js';
import { statedRevision } from './stated-revision.js';

/** Puts a result in the place of everything found before in the log. Part of a larger transaction. */
export function replaceAnalysis(context: WriteContext, result: AnalysisResult): void {
  endJob(context, result.lease, { state: 'done' });
  keepStatement(context, result);
  const origin = findOrigin(context, result);
  changeShiftsOf(context.db, result.logId, () => {
    context.db.delete(shifts).where(eq(shifts.logId, result.logId)).run();
    insertShifts(context, result, origin);
  });
  putBesideShifts(context, result, origin);
  setLogState(context, result.logId, { state: result.state, progress: 1, problem: result.problem });
  if (result.candidateJobFor) renewCandidate(context, { ...origin, jobFor: result.candidateJobFor });
}

type BesideShifts = Omit<AnalysisResult, 'lease' | 'shifts'>;

/** Lock-ups, findings, signal file, and when and with what the log was driven. Part of a larger transaction. */
export function putBesideShifts(context: WriteContext, result: BesideShifts, origin: ShiftOrigin): void {
  const { db } = context;
  db.delete(lockUps).where(eq(lockUps.logId, result.logId)).run();
  insertLockUps(context, result);
  keepArtefacts(context, result);
  db.update(logs)
    .set({ durationS: result.durationS, drivenAtMs: origin.drivenAtMs, revisionId: origin.revisionId })
    .where(eq(logs.id, result.logId))
    .run();
}

/**
 * A file that knows better when it was driven than the one who sent it was also driven with what the car ran then,
 * unless the sender named another revision than the one that was entered for the time stated. A file that says itself
 * what the control unit ran is believed before anybody.
 */
export function findOrigin(
  context: WriteContext,
  result: Pick<AnalysisResult, 'logId' | 'drivenAtMs' | 'analysisVersion' | 'policyVersion'>,
): ShiftOrigin {
  const found = context.db
    .select({
      logId: logs.id,
      vehicleId: logs.vehicleId,
      platformId: vehicles.platformId,
      revisionId: logs.revisionId,
      statedRevisionId: logs.statedRevisionId,
      drivenAtMs: logs.drivenAtMs,
    })
    .from(logs)
    .innerJoin(vehicles, eq(vehicles.id, logs.vehicleId))
    .where(eq(logs.id, result.logId))
    .get();
  if (!found) throw new StoreError('not_found', `There is no log '${result.logId}'.`);
  const { statedRevisionId, ...row } = found;
  const drivenAtMs = result.drivenAtMs ?? row.drivenAtMs;
  const isByTime = row.revisionId === installedAt(context, row.vehicleId, row.drivenAtMs);
  return {
    ...row,
    drivenAtMs,
    revisionId: statedRevisionId ?? (isByTime ? installedAt(context, row.vehicleId, drivenAtMs) : row.revisionId),
    analysisVersion: result.analysisVersion,
    policyVersion: result.policyVersion,
  };
}

/** What the file says that the control unit ran, and the revision that it names. */
function keepStatement(context: WriteContext, { logId, statedCalibration = null }: AnalysisResult): void {
  const log = context.db
    .select({ platformId: vehicles.platformId })
    .from(logs)
    .innerJoin(vehicles, eq(vehicles.id, logs.vehicleId))
    .where(eq(logs.id, logId))
    .get();
  if (!log) return;
  const statedRevisionId =
    statedCalibration === null ? null : statedRevision(context, log.platformId, statedCalibration);
  context.db.update(logs).set({ statedCalibration, statedRevisionId }).where(eq(logs.id, logId)).run();
}

function insertShifts({ db }: WriteContext, result: AnalysisResult, origin: ShiftOrigin): void {
  insertRows(db, shifts, shiftRows(result, origin));
}

/** One by one: a row is wide, and a drive of a day has thousands. */
function* shiftRows(result: AnalysisResult, origin: ShiftOrigin): Generator<ReturnType<typeof toShiftRow>> {
  let count = 0;
  for (const shift of result.shifts) yield toShiftRow(shift, count++, origin);
}

function insertLockUps({ db }: WriteContext, result: BesideShifts): void {
  insertRows(db, lockUps, lockUpRows(result));
}

function* lockUpRows({ logId, lockUps: episodes }: BesideShifts): Generator<typeof lockUps.$inferInsert> {
  let count = 0;
  for (const episode of episodes) {
    count += 1;
    yield { ...episode, id: `${logId}-L${String(count).padStart(5, '0')}`, logId };
  }
}

function keepArtefacts({ db }: WriteContext, result: BesideShifts): void {
  const row = {
    analysisVersion: result.analysisVersion,
    policyVersion: result.policyVersion,
    signalFile: result.signalFile?.name ?? null,
    signalIds: result.signalFile?.signalIds ?? [],
    sampleFindings: result.sampleFindings,
    readFindings: result.readFindings,
    inspection: result.inspection,
    quality: result.quality,
    marks: result.marks,
  };
  db.insert(logArtefacts)
    .values({ logId: result.logId, ...row })
    .onConflictDoUpdate({ target: logArtefacts.logId, set: row })
    .run();
}

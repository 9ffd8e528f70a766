import type { Platform } from '@syncline/calibration';
import type { ComparisonSubject, Departure, ReportComparison, ShiftPicture } from '@syncline/contract';
import type { LogDetail, Note, OutcomeCounts, Store, StoredLockUp, StoredShift, VehicleDetail } from '@syncline/store';
import { notFound, problem } from '../problem-error.js';
import type { Actor } from './actor.js';
import { countOutcomes } from './count-outcomes.js';
import type { FleetService } from './fleet.js';
import type { FleetQueryPool } from './fleet-queries/queries.js';
import type { LogService } from './logs.js';
import { groupBy } from './rates.js';
import { compareDrive } from './report/compare-drive.js';
import { chooseWishes, type Wish } from './report/driving-wishes.js';
import { labelsOf } from './report/revision-labels.js';
import { readShiftPictures } from './report/shift-pictures.js';
import { rankShifts } from './report/worst-shifts.js';

/** Shifts that are shown with their picture. */
const SHOWN_SHIFTS = 3;
/** Of the same car: as a single drive is asked for, in two drives so that their scatter can be told. */
const MIN_EARLIER_DRIVES = 2;
const MIN_EARLIER_SHIFTS = 10;
/** A moment further from any shift than this belongs to none (s). */
const NEAR_S = 30;

/** A shift close to a moment that somebody marked. */
export interface NearShift {
  readonly stored: StoredShift;
  readonly apartS: number;
}

export interface DriveReport {
  readonly log: LogDetail;
  readonly platform: Platform;
  readonly total: OutcomeCounts;
  readonly kinds: readonly { readonly kind: string; readonly counts: OutcomeCounts }[];
  readonly worst: readonly {
    readonly stored: StoredShift;
    readonly isBeyond: boolean;
    readonly departures: readonly Departure[];
    readonly picture: ShiftPicture | null;
  }[];
  readonly shifts: readonly StoredShift[];
  readonly lockUps: readonly StoredLockUp[];
  readonly notes: readonly { readonly note: Note; readonly nearest: NearShift | null }[];
  readonly marks: readonly { readonly atS: number; readonly nearest: NearShift | null }[];
  readonly comparisons: readonly ReportComparison[];
  readonly wishes: {
    readonly revisionLabel: string | null;
    readonly items: readonly Wish[];
    readonly neededShifts: number;
    readonly neededVehicles: number;
  };
}

export type ReportService = ReturnType<typeof createReportService>;

/** What a drive was, for the one who drove it: read after the drive. */
export function createReportService(
  store: Store,
  {
    logs,
    fleet,
    queries,
  }: { readonly logs: LogService; readonly fleet: FleetService; readonly queries: FleetQueryPool },
) {
  const { read } = store;
  return {
    async get(actor: Actor, logId: string): Promise<DriveReport> {
      const log = logs.get(actor, logId);
      if (log.analysisVersion === null) throw problem('log.notReady', { detail: `Its state is '${log.state}'.` });
      const platform = read.platforms.find(log.platformId)?.platform;
      const vehicle = read.vehicles.find({}, log.vehicleId);
      const policy = read.platforms.findPolicy(log.platformId, log.policyVersion ?? undefined);
      if (!platform || !vehicle || !policy) throw notFound('log');
      const shifts = read.shifts.ofLog(logId);
      const ranked = rankShifts(shifts, policy, SHOWN_SHIFTS);
      // The file and the thread of questions are waited for together.
      const [pictures, besideFleet, wishes] = await Promise.all([
        readShiftPictures(
          store,
          { signalFile: log.signalFile, platform },
          ranked.map(({ stored }) => stored),
        ),
        compareWithFleet(log),
        wishesFor(vehicle),
      ]);
      return {
        log,
        platform,
        total: countOutcomes(shifts),
        kinds: countKinds(shifts, platform),
        worst: ranked.map((entry, index) => ({ ...entry, picture: pictures[index] ?? null })),
        shifts,
        lockUps: read.logs.lockUps(logId),
        notes: read.logs.notes(logId).map((note) => ({ note, nearest: nearestShift(shifts, note.atS) })),
        marks: log.marks.map((atS) => ({ atS, nearest: nearestShift(shifts, atS) })),
        comparisons: [...compareWithEarlier(log), ...besideFleet],
        wishes,
      };
    },
  };

  /** Under the revision of the drive and under others, apart: a new map is no like for like. */
  function compareWithEarlier({ id, vehicleId, drivenAtMs, revision }: LogDetail): ReportComparison[] {
    const strata = read.fleet
      .strataByDrive({ vehicleId, untilMs: drivenAtMs })
      .map((stratum) => ({ ...stratum, source: stratum.logId }));
    const now = strata.filter(({ logId }) => logId === id);
    const earlier = strata.filter((stratum) => stratum.drivenAtMs < drivenAtMs && stratum.logId !== id);
    const compare = (subject: ComparisonSubject, drives: typeof earlier) =>
      compareDrive(now, drives, {
        subject,
        revisionLabels: labelsOf(
          read,
          drives.map(({ revisionId }) => revisionId),
        ),
        minSources: MIN_EARLIER_DRIVES,
        minShifts: MIN_EARLIER_SHIFTS,
      });
    if (revision === null) return [compare('otherRevisions', earlier)];
    const same = earlier.filter(({ revisionId }) => revisionId === revision.id);
    const others = earlier.filter(({ revisionId }) => revisionId !== revision.id);
    return [compare('sameRevision', same), ...(others.length > 0 ? [compare('otherRevisions', others)] : [])];
  }

  function compareWithFleet({ id: logId, vehicleId, drivenAtMs, platformId, revision }: LogDetail) {
    const revisionId = revision?.id;
    return queries.ask('driveBesideFleet', { platformId, revisionId, vehicleId, logId, drivenAtMs });
  }

  async function wishesFor({ id, platformId, revision }: VehicleDetail): Promise<DriveReport['wishes']> {
    const filter = { platformId, revisionId: revision?.id };
    const { cells, neededShifts, neededVehicles } = await fleet.coverage(filter);
    const own = {
      counted: read.fleet.strataByVehicle({ ...filter, vehicleId: id }),
      ever: read.fleet.strataByVehicle({ platformId, vehicleId: id }),
    };
    return {
      revisionLabel: revision && `${revision.calibrationTitle} r${revision.number}`,
      items: chooseWishes(cells, own, { shifts: neededShifts, vehicles: neededVehicles }),
      neededShifts,
      neededVehicles,
    };
  }
}

function countKinds(shifts: readonly StoredShift[], platform: Platform): DriveReport['kinds'] {
  const byKind = groupBy(shifts, ({ shift }) => shift.kind);
  const inOrder = platform.shifts.map(({ id }) => id);
  const place = (kind: string) => (inOrder.includes(kind) ? inOrder.indexOf(kind) : inOrder.length);
  return [...byKind]
    .sort(([a], [b]) => place(a) - place(b) || a.localeCompare(b))
    .map(([kind, ofKind]) => ({ kind, counts: countOutcomes(ofKind) }));
}

function nearestShift(shifts: readonly StoredShift[], atS: number): NearShift | null {
  let best: NearShift | null = null;
  for (const stored of shifts) {
    const apartS = Math.abs(stored.shift.commandS - atS);
    if (apartS <= NEAR_S && apartS < (best?.apartS ?? Number.POSITIVE_INFINITY)) best = { stored, apartS };
  }
  return best;
}

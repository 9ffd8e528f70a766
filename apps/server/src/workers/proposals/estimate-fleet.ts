import type { Platform } from '@syncline/calibration';
import {
  type CorrectionEstimate,
  carryMoments,
  type EarlierMoments,
  type FleetResponse,
  fleetResponse,
  mergeShiftMoments,
  momentsOfRows,
  NO_SHIFT_MOMENTS,
  type NodeDesign,
  rebaseShiftRows,
  robustCorrections,
  type ShiftMoments,
  type ShiftRows,
  STEADY_PRIOR,
  sameCommandRows,
  scaledByResponse,
  USUAL_RESPONSE,
} from '@syncline/fleet';
import type { ProposalInputs, ReadStore } from '@syncline/store';
import { findSubject, type Subject, subjectDesign } from '../../services/proposals/subjects.js';
import { doubtOf } from './doubt-of-estimate.js';
import { type GatheredMoments, gatherMoments } from './gather-moments.js';

/** A base revision with what may be corrected in it. */
export interface OpenedBase {
  readonly platform: Platform;
  readonly subject: Subject;
  readonly design: NodeDesign;
}

export interface FleetEstimate {
  readonly kind: 'estimate';
  /** As it is to be acted on: scaled by the response. */
  readonly estimate: CorrectionEstimate;
  /** What it was made of, without the weight that far shifts lost. */
  readonly byVehicle: ReadonlyMap<string, ShiftMoments>;
  readonly farShifts: ReadonlyMap<string, number>;
  /** Shifts that were used, by `vehicle/revision`. */
  readonly counted: ReadonlyMap<string, number>;
  readonly response: FleetResponse;
}

/** Why there is none that may be acted on. */
export interface NoFleetEstimate {
  readonly kind: 'none';
  readonly problem: string;
}

export function openBase({ read }: ReadStore, platformId: string, inputs: ProposalInputs): OpenedBase {
  const { baseRevisionId, layoutVersion, subject: subjectId } = inputs;
  const platform = read.platforms.find(platformId)?.platform;
  const layout = read.platforms.findLayout(platformId, layoutVersion);
  const content = read.calibrations.findContent(baseRevisionId);
  const subject = layout && findSubject(layout, subjectId);
  if (!platform || !layout || !content || !subject) throw new Error(`revision ${baseRevisionId} cannot be opened`);
  return { platform, subject, design: subjectDesign(layout, content, subject) };
}

/**
 * What the shifts of the fleet say of a base revision. It depends on the inputs alone.
 * @param onCar takes the share of the moments that are gathered
 */
export function estimateFleet(
  store: ReadStore,
  inputs: ProposalInputs,
  base: OpenedBase,
  onCar: (share: number) => void,
): { readonly gathered: GatheredMoments; readonly found: FleetEstimate | NoFleetEstimate } {
  const gathered = gatherMoments(store, inputs, base, onCar);
  const evidence = evidenceFor(base.design, gathered, inputs);
  return { gathered, found: estimate(base.design, gathered, evidence) };
}

/** All that counts for a base, as if driven under it. */
interface CountedEvidence {
  readonly byVehicle: ReadonlyMap<string, ShiftMoments>;
  /** The rows of a vehicle under each revision. */
  readonly rowsOf: (vehicleId: string) => readonly (readonly [revisionId: string, rows: ShiftRows])[];
  readonly response: FleetResponse;
}

function evidenceFor(
  design: NodeDesign,
  gathered: GatheredMoments,
  { baseRevisionId, policy, evidence }: ProposalInputs,
): CountedEvidence {
  const { newest, newestRows, earlier } = gathered;
  const own = (vehicleId: string) => present([[baseRevisionId, newestRows(vehicleId)]]);
  if (policy.useEarlierRevisions) {
    const response = responseOf(design, gathered);
    const changes = earlier.map(({ changeLn }) => changeLn.map((ln) => response.slope * ln));
    return {
      byVehicle: carryMoments(newest, earlier, response.slope),
      rowsOf: remembered((vehicleId) => [
        ...own(vehicleId),
        ...present(
          earlier.map(({ revisionId, rowsOf }, i) => [
            revisionId,
            mapRows(rowsOf(vehicleId), changes[i], rebaseShiftRows),
          ]),
        ),
      ]),
      response,
    };
  }
  const rowsOf = remembered((vehicleId) => [
    ...own(vehicleId),
    ...present(
      earlier.map(({ revisionId, changeLn, rowsOf: rows }) => [
        revisionId,
        mapRows(rows(vehicleId), changeLn, sameCommandRows),
      ]),
    ),
  ]);
  const byVehicle = new Map(newest);
  for (const vehicleId of earlier.length === 0 ? [] : new Set(evidence.map((part) => part.vehicleId))) {
    for (const [revisionId, rows] of rowsOf(vehicleId)) {
      if (revisionId === baseRevisionId || rows.kind.length === 0) continue;
      byVehicle.set(vehicleId, mergeShiftMoments(byVehicle.get(vehicleId) ?? NO_SHIFT_MOMENTS, momentsOfRows(rows)));
    }
  }
  return { byVehicle, rowsOf, response: USUAL_RESPONSE };
}

type RowsByRevision = readonly (readonly [revisionId: string, rows: ShiftRows | undefined])[];

function present(parts: RowsByRevision): (readonly [string, ShiftRows])[] {
  return parts.flatMap(([revisionId, rows]) => (rows ? [[revisionId, rows] as const] : []));
}

/** Rows are asked for in every round of weights; opened they share the room of what they are kept in. */
function remembered(rowsOf: CountedEvidence['rowsOf']): CountedEvidence['rowsOf'] {
  const opened = new Map<string, ReturnType<typeof rowsOf>>();
  return (vehicleId) => {
    const rows = opened.get(vehicleId) ?? rowsOf(vehicleId);
    opened.set(vehicleId, rows);
    return rows;
  };
}

function mapRows(
  rows: ShiftRows | undefined,
  changeLn: Float64Array,
  change: (rows: ShiftRows, changeLn: Float64Array) => ShiftRows,
): ShiftRows | undefined {
  return rows && change(rows, changeLn);
}

function estimate(
  design: NodeDesign,
  gathered: GatheredMoments,
  { byVehicle, rowsOf, response }: CountedEvidence,
): FleetEstimate | NoFleetEstimate {
  const robust = robustCorrections(design, byVehicle, (vehicleId) => rowsOf(vehicleId).map(([, rows]) => rows), {
    prior: STEADY_PRIOR,
  });
  if (robust.kind === 'insufficient') return { kind: 'none', problem: noneTells(gathered) };
  const scaled = scaledByResponse(robust.estimate, response);
  const doubt = doubtOf(scaled);
  if (doubt !== null) return { kind: 'none', problem: doubt };
  const counted = [...byVehicle.keys()].flatMap((vehicleId) =>
    rowsOf(vehicleId).map(([revisionId, rows]) => [`${vehicleId}/${revisionId}`, rows.kind.length] as const),
  );
  return {
    kind: 'estimate',
    estimate: scaled,
    byVehicle: robust.moments,
    farShifts: robust.farShifts,
    counted: new Map(counted),
    response,
  };
}

/** How far responses followed the last change of the map: from the earlier revision with the most shifts. */
function responseOf(design: NodeDesign, { newest, newestRows, earlier }: GatheredMoments): FleetResponse {
  const shiftsOf = ({ byVehicle }: EarlierMoments) =>
    [...byVehicle.values()].reduce((sum, own) => [...own.values()].reduce((part, { shifts }) => part + shifts, sum), 0);
  const [before] = [...earlier].sort((a, b) => shiftsOf(b) - shiftsOf(a));
  if (!before) return USUAL_RESPONSE;
  const robust = robustCorrections(
    design,
    newest,
    (vehicleId) => {
      const rows = newestRows(vehicleId);
      return rows ? [rows] : [];
    },
    { prior: STEADY_PRIOR },
  );
  if (robust.kind === 'insufficient') return USUAL_RESPONSE;
  return fleetResponse(robust.estimate, before.byVehicle, before.changeLn);
}

function noneTells({ parts }: GatheredMoments): string {
  const count = parts.reduce((total, { shiftCount }) => total + shiftCount, 0);
  return (
    `None of the ${count} shifts tells how much was missing: it takes a shift that was completed, with its torque and all ` +
    'that the tables ask for in the log, such as load, speeds, fluid temperature and program.'
  );
}

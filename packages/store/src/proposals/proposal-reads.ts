import { inflateRawSync } from 'node:zlib';
import { and, asc, desc, eq, getTableColumns, inArray } from 'drizzle-orm';
import { nameOf, revisionNameColumns } from '../calibrations/revision-columns.js';
import type { Db } from '../database/context.js';
import { calibrations, revisions } from '../schema/calibrations.js';
import { drafts } from '../schema/drafts.js';
import { people } from '../schema/people.js';
import {
  adaptations,
  draftPreviews,
  proposalDecisions,
  proposalPreviews,
  proposals,
  proposalVehicles,
  vehicleEvidence,
  vehicleMoments,
} from '../schema/proposals.js';
import { shifts } from '../schema/shifts.js';
import { vehicles } from '../schema/vehicles.js';
import { toStoredShift } from '../shifts/shift-row.js';
import type { ProposalDecision, ProposalReads, ProposalResult, ProposalSummary, VehicleTrims } from './proposals.js';

const { deflatedResult: _, inputs: __, ...summaryColumns } = getTableColumns(proposals);
/** Of a calibration: some months of nightly ones. */
const LISTED = 100;
/** Newest proposals that trims of a car are looked for in. */
const SEARCHED = 20;

type SummaryRow = ReturnType<ReturnType<typeof selectSummaries>['all']>[number];

export function proposalReads(db: Db): ProposalReads {
  return {
    list: (calibrationId) =>
      selectSummaries(db)
        .where(eq(proposals.calibrationId, calibrationId))
        .orderBy(desc(proposals.id))
        .limit(LISTED)
        .all()
        .map((row) => toSummary(db, row)),

    find(proposalId) {
      const row = selectSummaries(db).where(eq(proposals.id, proposalId)).get();
      const own = db
        .select({ inputs: proposals.inputs, deflatedResult: proposals.deflatedResult })
        .from(proposals)
        .where(eq(proposals.id, proposalId))
        .get();
      if (!row || !own) return undefined;
      return { ...toSummary(db, row), inputs: own.inputs, result: own.deflatedResult && inflated(own.deflatedResult) };
    },

    findByInput: (inputHash) =>
      db.select({ id: proposals.id }).from(proposals).where(eq(proposals.inputHash, inputHash)).get()?.id,

    findOrigin(of) {
      const isIt = 'draftId' in of ? eq(drafts.id, of.draftId) : eq(drafts.revisionId, of.revisionId);
      const taken = db
        .select({ proposalId: proposalDecisions.proposalId })
        .from(proposalDecisions)
        .innerJoin(drafts, eq(drafts.id, proposalDecisions.draftId))
        .where(isIt)
        .get();
      const row = taken && selectSummaries(db).where(eq(proposals.id, taken.proposalId)).get();
      return row && toSummary(db, row);
    },

    evidence: (revisionIds) =>
      db
        .select()
        .from(vehicleEvidence)
        .where(inArray(vehicleEvidence.revisionId, [...revisionIds]))
        .orderBy(asc(vehicleEvidence.vehicleId), asc(vehicleEvidence.revisionId))
        .all(),

    evidenceShifts: (vehicleId, revisionId) =>
      db
        .select()
        .from(shifts)
        .where(and(eq(shifts.vehicleId, vehicleId), eq(shifts.revisionId, revisionId)))
        .orderBy(asc(shifts.drivenAtMs), asc(shifts.id))
        .all()
        .map((shift) =>
          toStoredShift({ shift, vehicleTitle: '', revisionId: null, revisionNumber: null, calibrationTitle: null }),
        ),

    findMoments({ vehicleId, revisionId, subject, version, estimatorVersion }) {
      const row = db
        .select()
        .from(vehicleMoments)
        .where(
          and(
            eq(vehicleMoments.vehicleId, vehicleId),
            eq(vehicleMoments.revisionId, revisionId),
            eq(vehicleMoments.subject, subject),
            eq(vehicleMoments.evidenceVersion, version),
            eq(vehicleMoments.estimatorVersion, estimatorVersion),
          ),
        )
        .get();
      if (!row?.deflatedRows) return undefined;
      const { sha256, shiftCount, versions, deflated, deflatedRows } = row;
      const [bytes, rows] = [deflated, deflatedRows].map((part) => Uint8Array.from(inflateRawSync(part)));
      return { sha256, shiftCount, versions, bytes, rows };
    },

    trims: (vehicleId) => newestTrims(db, vehicleId),

    adaptations: (vehicleId, revisionId) =>
      db
        .select({ row: getTableColumns(adaptations), ...revisionNameColumns })
        .from(adaptations)
        .innerJoin(revisions, eq(revisions.id, adaptations.revisionId))
        .innerJoin(calibrations, eq(calibrations.id, revisions.calibrationId))
        .where(
          and(
            eq(adaptations.vehicleId, vehicleId),
            revisionId === undefined ? undefined : eq(adaptations.revisionId, revisionId),
          ),
        )
        .orderBy(desc(adaptations.readAtMs), desc(adaptations.id))
        .all()
        .map(({ row: { document, revisionId: id, ...row }, revisionNumber, calibrationTitle }) => ({
          ...row,
          ...document,
          revision: { id, number: revisionNumber ?? 0, calibrationTitle: calibrationTitle ?? '' },
        })),

    vehicleNames: (vehicleIds) =>
      db
        .select({ id: vehicles.id, title: vehicles.title, ownerName: people.name })
        .from(vehicles)
        .innerJoin(people, eq(people.id, vehicles.ownerId))
        .where(inArray(vehicles.id, [...vehicleIds]))
        .all(),

    findPreview: (proposalId) =>
      db
        .select({ madeAtMs: proposalPreviews.madeAtMs, document: proposalPreviews.document })
        .from(proposalPreviews)
        .where(eq(proposalPreviews.proposalId, proposalId))
        .get(),

    findDraftPreview: (draftId) => db.select().from(draftPreviews).where(eq(draftPreviews.draftId, draftId)).get(),
  };
}

function selectSummaries(db: Db) {
  return db
    .select({ proposal: summaryColumns, ...revisionNameColumns })
    .from(proposals)
    .innerJoin(revisions, eq(revisions.id, proposals.baseRevisionId))
    .innerJoin(calibrations, eq(calibrations.id, revisions.calibrationId));
}

function toSummary(db: Db, row: SummaryRow): ProposalSummary {
  const { baseRevisionId: _base, ...proposal } = row.proposal;
  const base = nameOf(row);
  if (!base) throw new Error(`proposal ${proposal.id} has no base revision`);
  return {
    ...proposal,
    calibrationTitle: base.calibrationTitle,
    base,
    decisions: decisionsOf(db, proposal.id),
  };
}

function decisionsOf(db: Db, proposalId: string): ProposalDecision[] {
  return db
    .select({
      decision: proposalDecisions.decision,
      draftId: proposalDecisions.draftId,
      draftTitle: drafts.title,
      draftState: drafts.state,
      revisionId: drafts.revisionId,
      takenNodes: proposalDecisions.takenNodes,
      reason: proposalDecisions.reason,
      byName: proposalDecisions.byName,
      decidedAtMs: proposalDecisions.decidedAtMs,
    })
    .from(proposalDecisions)
    .leftJoin(drafts, eq(drafts.id, proposalDecisions.draftId))
    .where(eq(proposalDecisions.proposalId, proposalId))
    .orderBy(asc(proposalDecisions.id))
    .all();
}

function newestTrims(db: Db, vehicleId: string): VehicleTrims[] {
  const rows = db
    .select({
      proposalId: proposals.id,
      subject: proposals.subject,
      madeAtMs: proposals.madeAtMs,
      tally: proposals.tally,
      deflatedResult: proposals.deflatedResult,
      trim: proposalVehicles.trim,
      ...revisionNameColumns,
    })
    .from(proposalVehicles)
    .innerJoin(proposals, eq(proposals.id, proposalVehicles.proposalId))
    .innerJoin(revisions, eq(revisions.id, proposals.baseRevisionId))
    .innerJoin(calibrations, eq(calibrations.id, revisions.calibrationId))
    .where(eq(proposalVehicles.vehicleId, vehicleId))
    .orderBy(desc(proposals.id))
    .limit(SEARCHED)
    .all();
  const isFirst = (row: (typeof rows)[number], i: number) =>
    rows.findIndex(({ revisionId, subject }) => revisionId === row.revisionId && subject === row.subject) === i;
  return rows.filter(isFirst).flatMap((row) => {
    const base = nameOf(row);
    if (!base || row.madeAtMs === null || !row.deflatedResult) return [];
    const { components } = inflated(row.deflatedResult);
    return [
      {
        ...row.trim,
        proposalId: row.proposalId,
        subject: row.subject,
        base,
        madeAtMs: row.madeAtMs,
        vehicleSd: components.vehicleSd,
        vehicleShiftSd: components.vehicleShiftSd,
        fleetVehicles: row.tally?.vehicles ?? 0,
      },
    ];
  });
}

function inflated(deflated: Buffer): ProposalResult {
  return JSON.parse(inflateRawSync(deflated).toString('utf8')) as ProposalResult;
}

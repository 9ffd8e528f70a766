import type * as Contract from '@syncline/contract';
import type { OutcomeCounts } from '@syncline/store';
import type { Actor } from '../../services/actor.js';
import { FLUID_TEMPERATURE_BANDS, LOAD_BANDS } from '../../services/fleet.js';
import { carRate } from '../../services/rates.js';
import type { DriveReport, NearShift } from '../../services/reports.js';
import { toInstant } from '../format.js';
import { toLockUpRow, toShiftRow } from '../shifts/to-shift.js';
import { toLogResponse, toNote } from './to-log.js';

type Response = Contract.ReportResponse;

export function toReport(report: DriveReport, reader: Actor): Response {
  const { platform, wishes } = report;
  const gearsOf = (kind: string) => {
    const shift = platform.shifts.find(({ id }) => id === kind) ?? gearsInName(kind);
    return { kind, from: shift.from, to: shift.to };
  };
  return {
    log: toLog(report),
    total: toKindReport(report.total),
    kinds: report.kinds.map(({ kind, counts }) => ({ ...gearsOf(kind), ...toKindReport(counts) })),
    worst: report.worst.map(({ stored, isBeyond, departures, picture }) => ({
      shift: toShiftRow(stored),
      isBeyond,
      departures: [...departures],
      picture,
    })),
    lockUps: report.lockUps.map(toLockUpRow),
    notes: report.notes.map(({ note, nearest }) => ({ ...toNote(note, reader), nearest: toNearest(nearest) })),
    marks: report.marks.map(({ atS, nearest }) => ({ atS, nearest: toNearest(nearest) })),
    doubts: toDoubts(report),
    comparisons: [...report.comparisons],
    wishes: {
      ...wishes,
      items: wishes.items.map(({ kind, loadBand, fluidTemperatureBand, shifts, vehicles, ownShifts, ask }) => ({
        ...gearsOf(kind),
        load: bandOf(LOAD_BANDS, loadBand),
        fluidTemperature: bandOf(FLUID_TEMPERATURE_BANDS, fluidTemperatureBand),
        shifts,
        vehicles,
        ownShifts,
        ask,
      })),
    },
  };
}

function toLog({ log, platform }: DriveReport): Response['log'] {
  const { id, fileName, state, showsEarlier, vehicleId, vehicleTitle, ownerName, durationS, sha256 } = log;
  const { revisionId, revisionLabel } = toLogResponse(log);
  return {
    id,
    fileName,
    state,
    showsEarlier,
    vehicleId,
    vehicleTitle,
    ownerName,
    platformId: platform.id,
    platformTitle: platform.title,
    drivenAt: toInstant(log.drivenAtMs),
    durationS,
    revisionId,
    revisionLabel,
    analysisVersion: log.analysisVersion ?? 0,
    policyVersion: log.policyVersion ?? 0,
    sha256,
  };
}

function toKindReport(counts: OutcomeCounts): Response['total'] {
  const { shifts, flare, tieUp, harsh, slow, incomplete, clean } = counts;
  const grades = { clean, flare, 'tie-up': tieUp, harsh, slow, incomplete };
  return {
    shifts,
    grades: Object.fromEntries(Object.entries(grades).filter(([, count]) => count > 0)),
    flare: carRate(counts, 'flare'),
    tieUp: carRate(counts, 'tieUp'),
    harsh: carRate(counts, 'harsh'),
    slow: carRate(counts, 'slow'),
  };
}

function toNearest(near: NearShift | null): Contract.NearestShift {
  if (near === null) return null;
  const { stored, apartS } = near;
  const { kind, commandS } = stored.shift;
  return { id: stored.id, kind, commandS, grades: [...stored.grades], apartS };
}

function toDoubts({ log, shifts }: DriveReport): Response['doubts'] {
  const { sampleFindings, readFindings, quality } = toLogResponse(log);
  const counts = new Map<string, number>();
  for (const { shift } of shifts) {
    for (const word of shift.disturbances) counts.set(word, (counts.get(word) ?? 0) + 1);
  }
  return {
    disturbances: [...counts].map(([disturbance, count]) => ({ disturbance, shifts: count })).sort(byShifts),
    disturbedShifts: shifts.filter(({ shift }) => shift.disturbances.length > 0).length,
    cutShifts: shifts.filter(({ shift }) => shift.outcome === 'cut').length,
    sampleFindings,
    readFindings,
    quality,
  };
}

function byShifts(a: { readonly shifts: number }, b: { readonly shifts: number }): number {
  return b.shifts - a.shifts;
}

/** Kinds that the platform does not list, such as skips, say their gears themselves. */
function gearsInName(kind: string): { readonly from: number; readonly to: number } {
  const [from = 0, to = 0] = kind.split('-').map(Number);
  return { from, to };
}

function bandOf(bands: readonly Contract.Band[], index: number): Contract.Band {
  const band = bands.find((entry) => entry.index === index);
  if (!band) throw new Error(`there is no band ${index}`);
  return band;
}

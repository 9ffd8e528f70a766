import {
  axisPosition,
  clutchExchange,
  type OperatingPoint,
  type Platform,
  type TableSpec,
  variantParts,
} from '@syncline/calibration';
import type { Rate } from '@syncline/contract';
import { type EvidenceRow, NO_OUTCOMES, type OutcomeCounts, type Store } from '@syncline/store';
import { notFound } from '../problem-error.js';
import type { CalibrationService } from './calibrations.js';
import { fleetRate } from './rates.js';

/** A cell is read beside its interval, so that fewer shifts may speak than for a fleet. */
const CELL_THRESHOLDS = { minShifts: 10, minVehicles: 3 };

export interface CellEvidence {
  readonly row: number;
  readonly column: number;
  readonly shifts: number;
  readonly vehicles: number;
  readonly flare: Rate;
  readonly tieUp: Rate;
}

export type EvidenceService = ReturnType<typeof createEvidenceService>;

/** What drives under a revision say of each cell of its tables. */
export function createEvidenceService(store: Store, calibrations: CalibrationService) {
  return {
    /**
     * Evidence of each cell of one table variant: a shift counts to the node nearest to its operating point, and is
     * left out when it was not logged where the table's axes lie.
     */
    ofTable(revisionId: string, tableId: string, variant: string): CellEvidence[] {
      const { layout, platform, content } = calibrations.open(revisionId);
      const spec = layout.tables.find((table) => table.id === tableId);
      const table = content.tables[tableId];
      if (!spec || !table || !Object.hasOwn(table.values, variant)) throw notFound('table or variant');
      const cells = new Map<number, Map<string, OutcomeCounts>>();
      for (const row of store.read.shifts.evidence({ revisionId })) {
        if (!isOfVariant(spec, variant, row, platform)) continue;
        const node = nearestNode(spec, table.axes, operatingPointOf(row));
        if (node !== undefined) count(cells, node, row);
      }
      const columnCount = table.axes.at(-1)?.length ?? 1;
      return table.values[variant].map((_, node) => {
        const byVehicle = [...(cells.get(node)?.values() ?? [])];
        return {
          row: Math.floor(node / columnCount),
          column: node % columnCount,
          shifts: byVehicle.reduce((sum, counts) => sum + counts.shifts, 0),
          vehicles: byVehicle.length,
          flare: fleetRate(byVehicle, 'flare', CELL_THRESHOLDS),
          tieUp: fleetRate(byVehicle, 'tieUp', CELL_THRESHOLDS),
        };
      });
    },
  };
}

/** Whether a shift speaks of a variant: in all that the variant names, be it shift, gear, program or clutch. */
function isOfVariant(spec: TableSpec, variant: string, row: EvidenceRow, platform: Platform): boolean {
  const { shift = row.kind, gear = String(row.to), program = row.program, clutch } = variantParts(spec, variant);
  return (
    row.kind === shift &&
    String(row.to) === gear &&
    row.program === program &&
    (clutch === undefined || clutchExchange(platform, row.from, row.to).oncoming.includes(clutch))
  );
}

function operatingPointOf(row: EvidenceRow): OperatingPoint {
  return {
    load: row.load ?? undefined,
    engineSpeed: row.engineSpeedRpm ?? undefined,
    inputSpeed: row.inputSpeedRpm,
    outputSpeed: row.outputSpeedRpm,
    fluidTemperature: row.fluidTemperatureC ?? undefined,
    pedal: row.pedal ?? undefined,
    pressure: row.applyPressureKpa ?? undefined,
  };
}

/** Row-major index of the node nearest along each axis; undefined where a coordinate was not logged. */
function nearestNode(spec: TableSpec, axes: readonly (readonly number[])[], point: OperatingPoint): number | undefined {
  let node = 0;
  for (const [i, axis] of axes.entries()) {
    const x = point[spec.axes[i].quantity];
    if (x === undefined) return undefined;
    const { index, fraction } = axisPosition(axis, x);
    node = node * axis.length + (fraction < 0.5 ? index : index + 1);
  }
  return node;
}

function count(cells: Map<number, Map<string, OutcomeCounts>>, node: number, row: EvidenceRow): void {
  let byVehicle = cells.get(node);
  if (!byVehicle) cells.set(node, (byVehicle = new Map()));
  const before = byVehicle.get(row.vehicleId) ?? NO_OUTCOMES;
  byVehicle.set(row.vehicleId, {
    ...before,
    shifts: before.shifts + 1,
    flare: before.flare + (row.isFlare ? 1 : 0),
    tieUp: before.tieUp + (row.isTieUp ? 1 : 0),
    flareMeasured: before.flareMeasured + (row.isFlareMeasured || row.isFlare ? 1 : 0),
    tieUpMeasured: before.tieUpMeasured + (row.isTieUpMeasured ? 1 : 0),
  });
}

import type { ShiftRow } from '@syncline/contract';
import type { StoredShift } from '@syncline/store';
import { csvLine } from '../csv.js';
import { toShiftRow } from './to-shift.js';

type Column = readonly [head: string, cell: (row: ShiftRow) => string | number | boolean | null];

const COLUMNS: readonly Column[] = [
  ['Driven at (UTC)', (row) => row.drivenAt],
  ['Vehicle', (row) => row.vehicleTitle],
  ['Revision', (row) => row.revisionLabel],
  ['Log', (row) => row.logId],
  ['Shift', (row) => row.id],
  ['Kind', (row) => row.kind],
  ['Grades', (row) => row.grades.join(' ')],
  ['Outcome', (row) => row.outcome],
  ['Hunting', (row) => row.isHunting],
  ['Power on', (row) => row.isPowerOn],
  ['Program', (row) => row.program],
  ['Command (s)', (row) => row.commandS],
  ['Inertia start (s)', (row) => row.inertiaStartS],
  ['Synchronisation (s)', (row) => row.syncS],
  ['Load (%)', (row) => row.load],
  ['Input torque (N·m)', (row) => row.inputTorqueNm],
  ['Input speed (rpm)', (row) => row.inputSpeedRpm],
  ['Output speed (rpm)', (row) => row.outputSpeedRpm],
  ['Fluid temperature (°C)', (row) => row.fluidTemperatureC],
  ['Apply pressure (kPa)', (row) => row.applyPressureKpa],
  ['Flare (rpm)', (row) => row.flareRpm],
  ['Flare time (ms)', (row) => row.flareMs],
  ['Flare area (revolutions)', (row) => row.flareRevolutions],
  ['Shift time (s)', (row) => row.shiftTimeS],
  ['Inertia time (s)', (row) => row.inertiaTimeS],
  ['Delay (s)', (row) => row.delayS],
  ['Peak-to-peak acceleration (m/s²)', (row) => row.peakToPeakAcceleration],
  ['Peak jerk (m/s³)', (row) => row.peakJerk],
  ['Tie-up depth (m/s²)', (row) => row.tieUpDepth],
  ['Tie-up impulse (m/s)', (row) => row.tieUpImpulse],
  ['Slip energy (J)', (row) => row.slipEnergyJ],
  ['Valve on after synchronisation (s)', (row) => row.valveOnAfterSyncS],
  ['Demand ratio', (row) => row.demandRatio],
  ['Demand weight', (row) => row.demandWeight],
  ['Disturbances', (row) => row.disturbances.join(' ')],
  ['Analysis version', (row) => row.analysisVersion],
  ['Policy version', (row) => row.policyVersion],
];

/** Shifts as CSV, page by page, each figure in full precision. */
export async function* shiftCsv(pages: AsyncIterable<readonly StoredShift[]>): AsyncGenerator<string> {
  yield csvLine(COLUMNS.map(([head]) => head));
  for await (const page of pages) {
    if (page.length > 0) {
      yield page
        .map(toShiftRow)
        .map((row) => csvLine(COLUMNS.map(([, cell]) => cell(row))))
        .join('');
    }
  }
}

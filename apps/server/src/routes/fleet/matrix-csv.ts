import type { OutcomeMeasure, Rate } from '@syncline/contract';
import { LOAD_BANDS } from '../../services/fleet.js';
import type { FleetMatrix } from '../../services/fleet-queries/fleet-matrix.js';
import { csvLine } from '../csv.js';

/** The matrix as CSV, one line for each cell and for the total of each kind. Without enough evidence no rate is given. */
export function matrixCsv(measure: OutcomeMeasure, matrix: FleetMatrix): string {
  const label = new Map(LOAD_BANDS.map((band) => [band.index, band.label]));
  const lines = matrix.rows.flatMap(({ kind, total, cells }) => [
    ...cells.map((cell) => rateLine(kind, label.get(cell.loadBand) ?? '', cell.rate)),
    rateLine(kind, 'all loads', total),
  ]);
  const head = [
    'Kind',
    'Load',
    'Shifts',
    'Vehicles',
    `Shifts with ${measure}`,
    'Rate (share)',
    'Low (share)',
    'High (share)',
  ];
  return [csvLine(head), ...lines].join('');
}

function rateLine(kind: string, load: string, rate: Rate): string {
  const figures = rate.kind === 'estimate' ? [rate.rate, rate.low, rate.high] : [null, null, null];
  return csvLine([kind, load, rate.shifts, rate.vehicles, rate.events, ...figures]);
}

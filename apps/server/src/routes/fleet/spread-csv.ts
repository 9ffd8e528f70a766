import type { Spread, SpreadMeasure } from '@syncline/contract';
import { LOAD_BANDS } from '../../services/fleet.js';
import type { FleetSpread } from '../../services/fleet-queries/fleet-spread.js';
import { csvLine } from '../csv.js';

const UNITS: Readonly<Record<SpreadMeasure, string>> = {
  flareRpm: 'rpm',
  shiftTimeS: 's',
  inertiaTimeS: 's',
  delayS: 's',
  peakJerk: 'm/s³',
  tieUpDepth: 'm/s²',
  slipEnergyJ: 'J',
};

/** The spread as CSV, one line for each cell and for the total of each kind. Without enough evidence no figure is given. */
export function spreadCsv(measure: SpreadMeasure, { rows, total }: FleetSpread): string {
  const label = new Map(LOAD_BANDS.map((band) => [band.index, band.label]));
  const figures = ['Mean', '5th percentile', '25th percentile', 'Median', '75th percentile', '95th percentile'];
  const head = [
    'Kind',
    'Load',
    'Shifts',
    'Vehicles',
    ...figures.map((name) => `${name} of ${measure} (${UNITS[measure]})`),
  ];
  const lines = rows.flatMap(({ kind, cells, total: ofKind }) => [
    ...cells.map((cell) => spreadLine(kind, label.get(cell.loadBand) ?? '', cell.spread)),
    spreadLine(kind, 'all loads', ofKind),
  ]);
  return [csvLine(head), ...lines, spreadLine('all kinds', 'all loads', total)].join('');
}

function spreadLine(kind: string, load: string, spread: Spread): string {
  const figures =
    spread.kind === 'estimate'
      ? [spread.mean, spread.p05, spread.p25, spread.p50, spread.p75, spread.p95]
      : [null, null, null, null, null, null];
  return csvLine([kind, load, spread.shifts, spread.vehicles, ...figures]);
}

import type { VehicleSummary } from '@syncline/contract';
import type { CsvColumn } from '../../format/csv.js';
import { formatCount } from '../../format/quantity.js';
import { endOf } from '../../format/rate-columns.js';
import type { DataColumn } from '../../parts/data-table.js';
import { Instant } from '../../parts/instant.js';
import { RateCell } from '../../parts/rate-cell.js';
import { RevisionLink } from '../../parts/revision-link.js';
import { VerdictMark } from '../../parts/state-mark.js';
import { TextLink } from '../../parts/text-link.js';

const SMALLEST_SCALE = 0.05;

/** Columns of the list. The interval bars of one measure share a scale that holds all rows. */
export function vehicleColumns(rows: readonly VehicleSummary[]): readonly DataColumn<VehicleSummary>[] {
  const scaleOf = (pick: (car: VehicleSummary) => VehicleSummary['flare']) =>
    Math.max(SMALLEST_SCALE, ...rows.map((car) => endOf(pick(car), 'high') ?? 0));
  const [flareMax, tieUpMax] = [scaleOf((car) => car.flare), scaleOf((car) => car.tieUp)];
  return [
    {
      id: 'title',
      title: 'Car',
      isShort: true,
      sort: 'title',
      sortDirection: 'ascending',
      render: (car) => (
        <TextLink to="/vehicles/$vehicleId" params={{ vehicleId: car.id }}>
          {car.title}
        </TextLink>
      ),
    },
    { id: 'owner', title: 'Tester', distinct: (car) => car.ownerId, render: (car) => car.ownerName },
    { id: 'platform', title: 'Gearbox', distinct: (car) => car.platformId, render: (car) => car.platformTitle },
    { id: 'engine', title: 'Engine', distinct: (car) => car.engine || null, render: (car) => car.engine || '–' },
    {
      id: 'dialect',
      title: 'Bus dialect',
      render: (car) => (
        <span style={{ display: 'grid' }}>
          <VerdictMark verdict={car.dialectVerdict} />
          {car.dialectVerdict === 'contradicted' && (
            <span>
              declared {car.declaredDialect}, observed {car.observedDialect}
            </span>
          )}
          {car.isDialectCleared !== (car.dialectVerdict === 'confirmed') && (
            <span>{car.isDialectCleared ? 'allowed by a maintainer' : 'refused by a maintainer'}</span>
          )}
        </span>
      ),
    },
    {
      id: 'revision',
      title: 'Revision',
      isShort: true,
      render: (car) => <RevisionLink revisionId={car.revisionId} label={car.revisionLabel} />,
    },
    { id: 'logs', title: 'Drives', isNumber: true, render: (car) => formatCount(car.logCount) },
    { id: 'shifts', title: 'Shifts', isNumber: true, sort: 'shifts', render: (car) => formatCount(car.shiftCount) },
    {
      id: 'flare',
      title: 'Flare',
      sort: 'flare',
      render: (car) => <RateCell rate={car.flare} barMax={flareMax} evidence="short" />,
    },
    {
      id: 'tieUp',
      title: 'Tie-up',
      sort: 'tieUp',
      render: (car) => <RateCell rate={car.tieUp} barMax={tieUpMax} evidence="short" />,
    },
    {
      id: 'driven',
      title: 'Last driven',
      sort: 'lastDriven',
      render: (car) => <Instant at={car.lastDrivenAt} precision="day" />,
    },
  ];
}

const rateCells = (
  name: string,
  pick: (car: VehicleSummary) => VehicleSummary['flare'],
): CsvColumn<VehicleSummary>[] => [
  { header: `${name} events`, cell: (car) => pick(car).events },
  { header: `${name} shifts`, cell: (car) => pick(car).shifts },
  { header: `${name} rate (share)`, cell: (car) => endOf(pick(car), 'rate') },
  { header: `${name} low (share)`, cell: (car) => endOf(pick(car), 'low') },
  { header: `${name} high (share)`, cell: (car) => endOf(pick(car), 'high') },
];

export const VEHICLE_CSV_COLUMNS: readonly CsvColumn<VehicleSummary>[] = [
  { header: 'vehicle', cell: (car) => car.id },
  { header: 'title', cell: (car) => car.title },
  { header: 'tester', cell: (car) => car.ownerName },
  { header: 'gearbox', cell: (car) => car.platformTitle },
  { header: 'engine', cell: (car) => car.engine },
  { header: 'declared dialect', cell: (car) => car.declaredDialect },
  { header: 'observed dialect', cell: (car) => car.observedDialect },
  { header: 'dialect verdict', cell: (car) => car.dialectVerdict },
  { header: 'revisions allowed', cell: (car) => (car.isDialectCleared ? 'yes' : 'no') },
  { header: 'revision', cell: (car) => car.revisionLabel },
  { header: 'drives', cell: (car) => car.logCount },
  { header: 'shifts', cell: (car) => car.shiftCount },
  ...rateCells('flare', (car) => car.flare),
  ...rateCells('tie-up', (car) => car.tieUp),
  { header: 'last driven at', cell: (car) => car.lastDrivenAt },
];

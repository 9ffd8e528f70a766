import type { FleetVehiclesResponse, Rate } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { fleetQueries } from '../../api/fleet.js';
import { csvFileName } from '../../format/csv.js';
import { describeRate, formatCounts, formatInterval, formatShare, formatTooFew } from '../../format/rate.js';
import { endOf } from '../../format/rate-columns.js';
import { MEASURE_WORDS } from '../../format/words.js';
import { CsvButton } from '../../parts/csv-button.js';
import { HelpTerm } from '../../parts/help-term.js';
import { IntervalBar } from '../../parts/interval-bar.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { TextLink } from '../../parts/text-link.js';
import type { FleetView } from './fleet-view.js';
import classes from './vehicles-section.module.css';

type FleetVehicle = FleetVehiclesResponse['vehicles'][number];
const SMALLEST_SCALE = 0.05;

/** Rate of each car with its interval; the dashed line is the fleet. */
export function VehiclesSection({ view }: { readonly view: FleetView }) {
  const query = useQuery(fleetQueries.vehicles(view));
  const word = MEASURE_WORDS[view.measure];
  const rows = [...(query.data?.vehicles ?? [])].sort((a, b) => pointOf(b.rate) - pointOf(a.rate));
  return (
    <Section
      title={`${word} by car`}
      note={query.data && `Dashed: ${describeRate(query.data.fleet, 'the fleet')}.`}
      actions={
        <CsvButton fileName={csvFileName('vehicles', view.measure, view.revision)} columns={CSV_COLUMNS} rows={rows} />
      }
    >
      <QueryView
        query={query}
        isEmpty={({ vehicles }) => vehicles.length === 0}
        empty="No car has a graded shift under these filters."
      >
        {({ fleet }) => <VehicleDots rows={rows} fleet={fleet} word={word} />}
      </QueryView>
    </Section>
  );
}

interface VehicleDotsProps {
  readonly rows: readonly FleetVehicle[];
  readonly fleet: Rate;
  readonly word: string;
}

function VehicleDots({ rows, fleet, word }: VehicleDotsProps) {
  const max = Math.max(SMALLEST_SCALE, ...rows.map(({ rate }) => endOf(rate, 'high') ?? 0));
  const reference = endOf(fleet, 'rate') ?? undefined;
  return (
    <table className={classes.dots}>
      <thead>
        <tr>
          <th scope="col">Car</th>
          <th scope="col" className={classes.scale}>
            <span>0</span>
            <span>{formatShare(max)}</span>
          </th>
          <th scope="col">{word}, interval</th>
          <th scope="col">Remark</th>
        </tr>
      </thead>
      <tbody>
        {rows.map((row) => (
          <VehicleDot key={row.vehicleId} row={row} max={max} reference={reference} />
        ))}
      </tbody>
    </table>
  );
}

interface VehicleDotProps {
  readonly row: FleetVehicle;
  readonly max: number;
  readonly reference: number | undefined;
}

function VehicleDot({ row: { vehicleId, title, rate, isOdd }, max, reference }: VehicleDotProps) {
  return (
    <tr>
      <th scope="row">
        <TextLink to="/vehicles/$vehicleId" params={{ vehicleId }}>
          {title}
        </TextLink>
      </th>
      <td className={classes.bar}>
        {rate.kind === 'estimate' && (
          <IntervalBar
            value={rate.rate}
            low={rate.low}
            high={rate.high}
            max={max}
            reference={reference}
            isMarked={isOdd}
          />
        )}
      </td>
      <td title={formatCounts(rate)}>
        {rate.kind === 'estimate' ? (
          <>
            <strong>{formatShare(rate.rate)}</strong> ({formatInterval(rate.low, rate.high)})
          </>
        ) : (
          <span className="hatched">{formatTooFew(rate)}</span>
        )}
      </td>
      <td>{isOdd && <HelpTerm term="oddCar">◆ odd</HelpTerm>}</td>
    </tr>
  );
}

function pointOf(rate: Rate): number {
  return endOf(rate, 'rate') ?? -1;
}

const CSV_COLUMNS = [
  { header: 'vehicle', cell: (row: FleetVehicle) => row.title },
  { header: 'events', cell: (row: FleetVehicle) => row.rate.events },
  { header: 'shifts', cell: (row: FleetVehicle) => row.rate.shifts },
  { header: 'rate (share)', cell: (row: FleetVehicle) => endOf(row.rate, 'rate') },
  { header: 'low (share)', cell: (row: FleetVehicle) => endOf(row.rate, 'low') },
  { header: 'high (share)', cell: (row: FleetVehicle) => endOf(row.rate, 'high') },
  { header: 'odd', cell: (row: FleetVehicle) => (row.isOdd ? 'yes' : 'no') },
];

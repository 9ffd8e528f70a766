import type { Band, FleetVehiclesResponse, Rate } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { fleetQueries } from '../../api/fleet.js';
import { EstimateBar, EstimateKey } from '../../charts/estimate-bar.js';
import { csvFileName } from '../../format/csv.js';
import { isSpreadMeasure } from '../../format/measured.js';
import { formatCount } from '../../format/quantity.js';
import { describeRate, formatInterval, formatShare, formatTooFew } from '../../format/rate.js';
import { endOf } from '../../format/rate-columns.js';
import { MEASURE_WORDS } from '../../format/words.js';
import { CsvButton } from '../../parts/csv-button.js';
import { HelpTerm } from '../../parts/help-term.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { TextLink } from '../../parts/text-link.js';
import { type FleetView, filterOf, rateMeasure, shiftsBehind } from './fleet-view.js';
import { OddCars } from './odd-cars.js';
import classes from './vehicles-section.module.css';

type FleetVehicle = FleetVehiclesResponse['vehicles'][number];
const SMALLEST_SCALE = 0.05;

interface VehiclesSectionProps {
  readonly view: FleetView;
  readonly fluidTemperature: Band | undefined;
}

/** Rate of each car, as counted and drawn towards the fleet, beside that of the fleet; and what makes the odd ones odd. */
export function VehiclesSection({ view, fluidTemperature }: VehiclesSectionProps) {
  const measure = rateMeasure(view);
  const query = useQuery(fleetQueries.vehicles({ ...filterOf(view), measure }));
  const rows = [...(query.data?.vehicles ?? [])].sort((a, b) => orderOf(b) - orderOf(a));
  return (
    <Section
      title={`${MEASURE_WORDS[measure]} by car`}
      note={
        query.data && (
          <>
            {isSpreadMeasure(view.measure) && 'Cars are told apart by the rate that the quantity leads to. '}
            Dashed: {describeRate(query.data.fleet, 'the fleet')}. The solid point is{' '}
            <HelpTerm term="shrunken">drawn towards it</HelpTerm>.
          </>
        )
      }
      actions={
        <CsvButton fileName={csvFileName('vehicles', measure, view.revision)} columns={CSV_COLUMNS} rows={rows} />
      }
    >
      <QueryView
        query={query}
        isEmpty={({ vehicles }) => vehicles.length === 0}
        empty="No car has a graded shift under these filters."
      >
        {({ fleet }) => (
          <>
            <OddCars rows={rows} fleet={fleet} view={view} fluidTemperature={fluidTemperature} />
            <VehicleDots rows={rows} fleet={fleet} view={view} fluidTemperature={fluidTemperature} />
            <EstimateKey />
          </>
        )}
      </QueryView>
    </Section>
  );
}

interface VehicleDotsProps extends VehiclesSectionProps {
  readonly rows: readonly FleetVehicle[];
  readonly fleet: Rate;
}

function VehicleDots({ rows, fleet, view, fluidTemperature }: VehicleDotsProps) {
  const max = Math.max(
    SMALLEST_SCALE,
    ...rows.flatMap(({ rate, shrunken }) => [endOf(rate, 'high') ?? 0, shrunken?.high ?? 0]),
  );
  const measure = rateMeasure(view);
  return (
    <table className={classes.dots} aria-label={`${MEASURE_WORDS[measure]} rate of each car`}>
      <thead>
        <tr>
          <th scope="col">Car</th>
          <th scope="col" className={classes.scale}>
            <span>0</span>
            <span>{formatShare(max)}</span>
          </th>
          <th scope="col">As counted</th>
          <th scope="col">Towards the fleet</th>
          <th scope="col">Shifts</th>
        </tr>
      </thead>
      <tbody>
        {rows.map((row) => (
          <tr key={row.vehicleId}>
            <th scope="row">
              <TextLink to="/vehicles/$vehicleId" params={{ vehicleId: row.vehicleId }}>
                {row.title}
              </TextLink>
              {row.isOdd && (
                <>
                  {' '}
                  <HelpTerm term="oddCar">◆ odd</HelpTerm>
                </>
              )}
            </th>
            <td className={classes.bar}>
              <EstimateBar
                raw={rangeOf(row.rate)}
                shrunken={row.shrunken && { ...row.shrunken, middle: row.shrunken.rate }}
                whole={rangeOf(fleet)}
                max={max}
                isMarked={row.isOdd}
              />
            </td>
            <td data-label="As counted">
              {row.rate.kind === 'estimate' ? (
                <>
                  {formatShare(row.rate.rate)}{' '}
                  <span className={classes.soft}>({formatInterval(row.rate.low, row.rate.high)})</span>
                </>
              ) : (
                <span className={`${classes.soft} hatched`}>{formatTooFew(row.rate)}</span>
              )}
            </td>
            <td data-label="Towards the fleet">
              {row.shrunken === null ? (
                '–'
              ) : (
                <>
                  <strong>{formatShare(row.shrunken.rate)}</strong>{' '}
                  <span className={classes.soft}>({formatInterval(row.shrunken.low, row.shrunken.high)})</span>
                </>
              )}
            </td>
            <td data-label="Shifts">
              <TextLink
                to="/shifts"
                search={shiftsBehind(view, { vehicle: row.vehicleId, grade: measure, fluidTemperature })}
              >
                {formatCount(row.rate.events)} of {formatCount(row.rate.shifts)}
              </TextLink>
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

function rangeOf(rate: Rate) {
  return rate.kind === 'estimate' ? { middle: rate.rate, low: rate.low, high: rate.high } : null;
}

/** Cars stand in the order of what is best believed of them; those of which nothing is known come last. */
function orderOf({ rate, shrunken }: FleetVehicle): number {
  return shrunken?.rate ?? endOf(rate, 'rate') ?? -1;
}

const CSV_COLUMNS = [
  { header: 'vehicle', cell: (row: FleetVehicle) => row.title },
  { header: 'events', cell: (row: FleetVehicle) => row.rate.events },
  { header: 'shifts', cell: (row: FleetVehicle) => row.rate.shifts },
  { header: 'rate (share)', cell: (row: FleetVehicle) => endOf(row.rate, 'rate') },
  { header: 'low (share)', cell: (row: FleetVehicle) => endOf(row.rate, 'low') },
  { header: 'high (share)', cell: (row: FleetVehicle) => endOf(row.rate, 'high') },
  { header: 'towards the fleet (share)', cell: (row: FleetVehicle) => row.shrunken?.rate ?? null },
  { header: 'towards the fleet low (share)', cell: (row: FleetVehicle) => row.shrunken?.low ?? null },
  { header: 'towards the fleet high (share)', cell: (row: FleetVehicle) => row.shrunken?.high ?? null },
  { header: 'odd', cell: (row: FleetVehicle) => (row.isOdd ? 'yes' : 'no') },
];

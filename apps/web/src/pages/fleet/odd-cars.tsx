import type { Band, FleetVehiclesResponse, Rate } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { Fragment } from 'react';
import { fleetQueries } from '../../api/fleet.js';
import { shiftQueries } from '../../api/shifts.js';
import { formatCount } from '../../format/quantity.js';
import { formatShare } from '../../format/rate.js';
import { MEASURE_VERBS } from '../../format/words.js';
import { TextLink } from '../../parts/text-link.js';
import { filterOf as shiftFilterOf } from '../shifts/shift-view.js';
import { type FleetView, filterOf, rateMeasure, shiftsBehind } from './fleet-view.js';
import classes from './lists.module.css';
import { oddKinds, oddWords } from './odd-words.js';

type FleetVehicle = FleetVehiclesResponse['vehicles'][number];
type Estimate = Extract<Rate, { kind: 'estimate' }>;

interface OddCarsProps {
  readonly rows: readonly FleetVehicle[];
  readonly fleet: Rate;
  readonly view: FleetView;
  readonly fluidTemperature: Band | undefined;
}

/** The cars that stand apart, each with what sets it apart. */
export function OddCars({ rows, fleet, ...place }: OddCarsProps) {
  const odd = rows.filter(({ isOdd }) => isOdd);
  if (odd.length === 0 || fleet.kind !== 'estimate') return null;
  return (
    <ul className={classes.list} aria-label="Odd cars">
      {odd.map((row) =>
        row.rate.kind === 'estimate' ? (
          <OddCar key={row.vehicleId} row={row} rate={row.rate} fleet={fleet} {...place} />
        ) : null,
      )}
    </ul>
  );
}

interface OddCarProps extends Pick<OddCarsProps, 'view' | 'fluidTemperature'> {
  readonly row: FleetVehicle;
  readonly rate: Estimate;
  readonly fleet: Estimate;
}

function OddCar({ row: { vehicleId, title }, rate, fleet, view, fluidTemperature }: OddCarProps) {
  const measure = rateMeasure(view);
  const filter = { fluidTemperature, vehicle: vehicleId };
  const all = useQuery(shiftQueries.facets(shiftFilterOf(shiftsBehind(view, filter)))).data?.kinds;
  const graded = useQuery(shiftQueries.facets(shiftFilterOf(shiftsBehind(view, { ...filter, grade: measure })))).data
    ?.kinds;
  const matrix = useQuery(fleetQueries.matrix({ ...filterOf(view), measure })).data;
  const kinds = all && graded && matrix ? oddKinds({ all, graded, fleet: matrix.rows }, rate.rate > fleet.rate) : [];
  return (
    <li className={classes.reason}>
      <TextLink to="/vehicles/$vehicleId" params={{ vehicleId }}>
        ◆ {title}
      </TextLink>{' '}
      {MEASURE_VERBS[measure]} {oddWords(rate, fleet)}.
      {kinds.length > 0 && (
        <>
          {' '}
          Chiefly{' '}
          {kinds.map(({ kind, events, shifts, usual }, at) => (
            <Fragment key={kind}>
              {at > 0 && ' and '}
              <TextLink to="/shifts" search={shiftsBehind(view, { ...filter, kind, grade: measure })}>
                {kind}, {formatCount(events)} of {formatCount(shifts)}
              </TextLink>{' '}
              where {formatShare(usual)} is usual
            </Fragment>
          ))}
          .
        </>
      )}
    </li>
  );
}

import type { CompareDetailResponse, OutcomeMeasure, RevisionSummary } from '@syncline/contract';
import { ForestBar, ForestKey } from '../../charts/forest-bar.js';
import { formatCount } from '../../format/quantity.js';
import { formatShare } from '../../format/rate.js';
import { TextLink } from '../../parts/text-link.js';
import { SORT_OF_MEASURE } from '../fleet/fleet-view.js';
import { revisionLabel } from '../revision/revision-label.js';
import { pointsInterval, pointsWords } from './effect-words.js';
import classes from './forest.module.css';
import { type ComparedVehicle, forestReach, markSide, splitVehicles } from './forest-row.js';

interface ForestProps {
  readonly detail: CompareDetailResponse;
  readonly base: RevisionSummary;
  readonly other: RevisionSummary;
}

/** The difference of each car, like with like, and of all together; cars that drove nothing alike stand below. */
export function Forest({ detail, base, other }: ForestProps) {
  const { measure, byVehicle, whole } = detail;
  const { matched, unmatched } = splitVehicles(byVehicle);
  const pooled = whole.adjusted.kind === 'estimate' ? whole.adjusted : null;
  const reach = forestReach(matched, pooled);
  const largest = Math.max(0, ...matched.map(({ weight }) => weight));
  const places = { base, other, measure };
  return (
    <>
      {matched.length === 0 ? (
        <p>No car drove the same operating point under both itself.</p>
      ) : (
        <table className={classes.forest} aria-label="Difference of each car">
          <thead>
            <tr>
              <th scope="col">Car</th>
              <th scope="col" className={classes.plot}>
                <span className={classes.scale}>
                  <span>{pointsWords(-reach)}</span>
                  <span>0</span>
                  <span>{pointsWords(reach)}</span>
                </span>
              </th>
              <th scope="col">Difference</th>
              <th scope="col">{revisionLabel(base)}</th>
              <th scope="col">{revisionLabel(other)}</th>
              <th scope="col">Weight</th>
            </tr>
          </thead>
          <tbody>
            {matched.map((vehicle) => (
              <tr key={vehicle.vehicleId}>
                <th scope="row">
                  <VehicleLink vehicle={vehicle} />
                </th>
                <td className={classes.plot}>
                  <ForestBar {...vehicle.difference} reach={reach} markPx={markSide(vehicle.weight, largest)} />
                </td>
                <td data-label="Difference">
                  {pointsWords(vehicle.difference.difference)}{' '}
                  <span className={classes.soft}>({pointsInterval(vehicle.difference)})</span>
                </td>
                <td data-label={revisionLabel(base)}>
                  <Behind vehicle={vehicle} side="base" {...places} />
                </td>
                <td data-label={revisionLabel(other)}>
                  <Behind vehicle={vehicle} side="other" {...places} />
                </td>
                <td data-label="Weight">{formatShare(vehicle.weight)}</td>
              </tr>
            ))}
            {pooled !== null && (
              <tr className={classes.pooled}>
                <th scope="row">All together</th>
                <td className={classes.plot}>
                  <ForestBar {...pooled} reach={reach} />
                </td>
                <td data-label="Difference">
                  <strong>{pointsWords(pooled.difference)}</strong>{' '}
                  <span className={classes.soft}>({pointsInterval(pooled)})</span>
                </td>
                <td colSpan={3} />
              </tr>
            )}
          </tbody>
        </table>
      )}
      {matched.length > 0 && <ForestKey />}
      <Unmatched vehicles={unmatched} {...places} />
    </>
  );
}

interface Places {
  readonly base: RevisionSummary;
  readonly other: RevisionSummary;
  readonly measure: OutcomeMeasure;
}

interface BehindProps extends Places {
  readonly vehicle: ComparedVehicle;
  readonly side: 'base' | 'other';
}

/** “12 of 88”, the way to the shifts of the car under one of the revisions. */
function Behind({ vehicle, side, measure, ...pair }: BehindProps) {
  const [events, shifts] =
    side === 'base' ? [vehicle.baseEvents, vehicle.baseShifts] : [vehicle.otherEvents, vehicle.otherShifts];
  if (shifts === 0) return <span className={classes.soft}>not driven</span>;
  return (
    <TextLink
      to="/shifts"
      search={{ revision: pair[side].id, vehicle: vehicle.vehicleId, sort: SORT_OF_MEASURE[measure] }}
    >
      {formatCount(events)} of {formatCount(shifts)}
    </TextLink>
  );
}

function VehicleLink({ vehicle: { vehicleId, title } }: { readonly vehicle: ComparedVehicle }) {
  return (
    <TextLink to="/vehicles/$vehicleId" params={{ vehicleId }}>
      {title}
    </TextLink>
  );
}

interface UnmatchedProps extends Places {
  readonly vehicles: readonly ComparedVehicle[];
}

/** Cars that say nothing of the difference, and why. */
function Unmatched({ vehicles, base, other, measure }: UnmatchedProps) {
  if (vehicles.length === 0) return null;
  return (
    <>
      <h4 className={classes.subhead}>Cars that drove no operating point under both themselves</h4>
      <p className={classes.soft}>
        They have no difference of their own. In the whole they count where other cars drove the same under the other
        revision.
      </p>
      <ul className={classes.unmatched} aria-label="Cars without overlap">
        {vehicles.map((vehicle) => (
          <li key={vehicle.vehicleId}>
            <VehicleLink vehicle={vehicle} />: {revisionLabel(base)}{' '}
            <Behind vehicle={vehicle} side="base" base={base} other={other} measure={measure} />, {revisionLabel(other)}{' '}
            <Behind vehicle={vehicle} side="other" base={base} other={other} measure={measure} />
            {vehicle.weight > 0 && `, weight ${formatShare(vehicle.weight)}`}
          </li>
        ))}
      </ul>
    </>
  );
}

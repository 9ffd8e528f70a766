import type { VehicleSummary } from '@syncline/contract';
import { counted } from '../../format/quantity.js';
import { Instant } from '../../parts/instant.js';
import { RateCell } from '../../parts/rate-cell.js';
import { RevisionLink } from '../../parts/revision-link.js';
import { VerdictMark } from '../../parts/state-mark.js';
import { ButtonLink, TextLink } from '../../parts/text-link.js';
import { OfferNews } from '../releases/offer-section.js';
import classes from './home.module.css';

/** One car of a tester: what it runs, whether its dialect is confirmed, how it shifts. */
export function CarCard({ car }: { readonly car: VehicleSummary }) {
  return (
    <article className={classes.car} aria-label={car.title}>
      <h2 className={classes.title}>
        <TextLink to="/vehicles/$vehicleId" params={{ vehicleId: car.id }}>
          {car.title}
        </TextLink>
      </h2>
      <dl className={classes.facts}>
        <dt>Revision</dt>
        <dd>
          <RevisionLink revisionId={car.revisionId} label={car.revisionLabel} />
        </dd>
        <dt>Bus dialect</dt>
        <dd>
          <VerdictMark verdict={car.dialectVerdict} />
        </dd>
        <dt>Drives</dt>
        <dd>
          {counted(car.logCount, 'drive')}, {counted(car.shiftCount, 'shift')}
        </dd>
        <dt>Last driven</dt>
        <dd>
          <Instant at={car.lastDrivenAt} precision="day" />
        </dd>
        <dt>Flare</dt>
        <dd>
          <RateCell rate={car.flare} />
        </dd>
        <dt>Tie-up</dt>
        <dd>
          <RateCell rate={car.tieUp} />
        </dd>
      </dl>
      <OfferNews vehicleId={car.id} title={car.title} />
      <ButtonLink size="xs" variant="default" to="/logs/upload" search={{ vehicle: car.id }}>
        Upload a drive of this car
      </ButtonLink>
    </article>
  );
}

import { mayDo } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { releaseQueries } from '../../api/releases.js';
import { useSession } from '../../api/session.js';
import { Instant } from '../../parts/instant.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { TextLink } from '../../parts/text-link.js';
import { OfferPanel } from './offer-panel.js';
import classes from './releases.module.css';

interface CarProps {
  readonly vehicleId: string;
  readonly title: string;
}

/** On the page of a car: what it is offered, what it really runs, and its control unit. */
export function OfferSection({ vehicleId, title }: CarProps) {
  const query = useQuery(releaseQueries.offer(vehicleId));
  const { role } = useSession().person;
  return (
    <Section title="Released to this car">
      <QueryView query={query}>
        {(offer) => (
          <>
            <UnitRecalls offer={offer} />
            <OfferPanel offer={offer} carTitle={title} mayAct={mayDo(role, 'own:offer:download')} />
            <dl className={classes.facts}>
              <dt>Runs</dt>
              <dd>
                {offer.runs.label ?? 'not known'}
                {offer.runs.source === 'log' && offer.runs.logId !== null && (
                  <>
                    , as{' '}
                    <TextLink to="/logs/$logId" params={{ logId: offer.runs.logId }} underline="always">
                      its newest drive
                    </TextLink>{' '}
                    says
                  </>
                )}
                {offer.runs.source === 'entered' && ', as entered'}
                {offer.runs.since !== null && (
                  <>
                    {' '}
                    (<Instant at={offer.runs.since} precision="day" />)
                  </>
                )}
                {offer.runs.disagreement !== null && <span className={classes.small}>⚠ {offer.runs.disagreement}</span>}
              </dd>
              <dt>Control unit</dt>
              <dd>
                {offer.unit === null ? (
                  'none entered'
                ) : (
                  <TextLink to="/control-units" search={{ unit: offer.unit.id }} underline="always">
                    {offer.unit.serial}
                  </TextLink>
                )}
                {offer.unit !== null &&
                  `, hardware ${offer.unit.hardware}, firmware ${offer.unit.firmware || 'not known'}`}
              </dd>
            </dl>
          </>
        )}
      </QueryView>
    </Section>
  );
}

/** On the home page: only what asks for something. */
export function OfferNews({ vehicleId, title }: CarProps) {
  const { data } = useQuery(releaseQueries.offer(vehicleId));
  const { role } = useSession().person;
  if (data === undefined) return null;
  const isNews = data.kind === 'install' || data.kind === 'held' || data.kind === 'goBack';
  return (
    <>
      <UnitRecalls offer={data} />
      {isNews && <OfferPanel offer={data} carTitle={title} mayAct={mayDo(role, 'own:offer:download')} />}
      {data.runs.disagreement !== null && <p className={classes.small}>⚠ {data.runs.disagreement}</p>}
    </>
  );
}

function UnitRecalls({
  offer,
}: {
  readonly offer: { readonly unitRecalls: { id: string; words: string; at: string }[] };
}) {
  return offer.unitRecalls.map(({ id, words, at }) => (
    <div key={id} className={classes.offer} data-kind="goBack" role="note">
      <p className={classes.offerTitle}>
        The control unit of this car is recalled (<Instant at={at} precision="day" />)
      </p>
      <p>{words}</p>
    </div>
  ));
}

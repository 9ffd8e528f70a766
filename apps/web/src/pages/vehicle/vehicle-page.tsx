import { mayDo } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useParams } from '@tanstack/react-router';
import { useSession } from '../../api/session.js';
import { vehicleQueries } from '../../api/vehicles.js';
import { PageHead } from '../../parts/page-head.js';
import { QueryView } from '../../parts/query-view.js';
import { RevisionLink } from '../../parts/revision-link.js';
import { ButtonLink, TextLink } from '../../parts/text-link.js';
import { AdaptationsSection } from '../proposals/adaptations-section.js';
import { VehicleTrims } from '../proposals/vehicle-trims.js';
import { OfferSection } from '../releases/offer-section.js';
import { ChecksSection } from './checks-section.js';
import { DialectSection } from './dialect-section.js';
import { InstallationsSection } from './installations-section.js';
import { LogsSection } from './logs-section.js';
import { OutcomeSection } from './outcome-section.js';
import { ProfileSection } from './profile-section.js';
import { SignalMapSection } from './signal-map-section.js';
import classes from './vehicle.module.css';

/** One car: how it shifts against the fleet first, then what it is, runs and sends. */
export function VehiclePage() {
  const { vehicleId } = useParams({ from: '/house/vehicles/$vehicleId' });
  const { role } = useSession().person;
  const query = useQuery(vehicleQueries.one(vehicleId));
  const isFormer = query.data?.isFormer ?? false;
  const mayWrite = mayDo(role, 'own:vehicle:write') && !isFormer;
  return (
    <>
      <PageHead
        title={query.data?.title ?? 'Car'}
        crumbs={<TextLink to="/vehicles">Vehicles</TextLink>}
        lead={
          query.data && (
            <>
              {query.data.ownerName},{' '}
              <TextLink to="/platforms/$platformId" params={{ platformId: query.data.platformId }}>
                {query.data.platformTitle}
              </TextLink>
              , runs <RevisionLink revisionId={query.data.revisionId} label={query.data.revisionLabel} />
            </>
          )
        }
        actions={
          <>
            <ButtonLink variant="default" to="/shifts" search={{ vehicle: vehicleId }}>
              Its shifts
            </ButtonLink>
            {mayWrite && (
              <ButtonLink to="/logs/upload" search={{ vehicle: vehicleId }}>
                Upload drives
              </ButtonLink>
            )}
          </>
        }
      />
      <QueryView query={query}>
        {(vehicle) => (
          <>
            {isFormer ? <FormerNote /> : <OfferSection vehicleId={vehicle.id} title={vehicle.title} />}
            <OutcomeSection vehicle={vehicle} />
            <VehicleTrims vehicle={vehicle} />
            <DialectSection vehicle={vehicle} mayWrite={mayWrite} />
            <ChecksSection vehicle={vehicle} />
            <div className={classes.columns}>
              <InstallationsSection vehicle={vehicle} mayWrite={mayWrite} />
              <ProfileSection vehicle={vehicle} mayWrite={mayWrite} />
            </div>
            <AdaptationsSection vehicle={vehicle} mayWrite={mayWrite} />
            <LogsSection vehicleId={vehicleId} mayWrite={mayWrite} />
            <SignalMapSection key={vehicleId} vehicleId={vehicleId} mayWrite={mayWrite} />
          </>
        )}
      </QueryView>
    </>
  );
}

function FormerNote() {
  return (
    <p role="note">
      The person of this car had her data removed. Its shifts stay and are counted under no name; it is offered no
      revision and asked for no drives, and it has no drives of its own hour or file.
    </p>
  );
}

import { useQuery } from '@tanstack/react-query';
import { logQueries } from '../../api/logs.js';
import { useSession } from '../../api/session.js';
import { vehicleQueries } from '../../api/vehicles.js';
import { DrivingCaution } from '../../parts/caution.js';
import { DataTable } from '../../parts/data-table.js';
import { EmptyState } from '../../parts/empty-state.js';
import { PageHead } from '../../parts/page-head.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { ButtonLink, TextLink } from '../../parts/text-link.js';
import { LOG_COLUMNS } from '../logs/log-columns.js';
import { MyRequests } from '../requests/my-requests.js';
import { CarCard } from './car-card.js';
import classes from './home.module.css';

const SHOWN_DRIVES = 8;

/** A tester's house: my cars, what they run, upload, my drives. */
export function HomePage() {
  const { person, clubName } = useSession();
  const vehicles = useQuery(vehicleQueries.list());
  const logs = useQuery(logQueries.list({ limit: SHOWN_DRIVES }));
  return (
    <>
      <PageHead
        title="My cars"
        lead={`${clubName}. What you upload here is seen by you and by the maintainers; other testers see only totals.`}
        actions={<ButtonLink to="/logs/upload">Upload drives</ButtonLink>}
        cautions={<DrivingCaution />}
      />
      <QueryView query={vehicles} isEmpty={({ items }) => items.length === 0} empty={<NoCar />}>
        {({ items }) => (
          <div className={classes.cars}>
            {items
              .filter((car) => person.role !== 'maintainer' || car.ownerId === person.id)
              .map((car) => (
                <CarCard key={car.id} car={car} />
              ))}
            <div className={classes.more}>
              <TextLink to="/vehicles/new">Enter another car</TextLink>
            </div>
          </div>
        )}
      </QueryView>
      <Section title="My requests" actions={<TextLink to="/requests">All my requests</TextLink>}>
        <MyRequests isOpenOnly />
      </Section>
      <Section title="My drives" actions={<TextLink to="/logs">All my drives</TextLink>}>
        <QueryView query={logs} isEmpty={({ items }) => items.length === 0} empty={<NoDrive />}>
          {({ items }) => (
            <DataTable label="My newest drives" columns={LOG_COLUMNS} rows={items} rowId={(log) => log.id} />
          )}
        </QueryView>
      </Section>
    </>
  );
}

function NoCar() {
  return (
    <EmptyState title="Enter your car" action={<ButtonLink to="/vehicles/new">Enter a car</ButtonLink>}>
      Say what it is: engine, mass, tyres, final drive. It takes five minutes with the papers at hand.
    </EmptyState>
  );
}

function NoDrive() {
  return (
    <EmptyState title="No drive yet" action={<ButtonLink to="/logs/upload">Upload drives</ButtonLink>}>
      Start the recording before you set off, stop it after the drive, and upload the file.
    </EmptyState>
  );
}

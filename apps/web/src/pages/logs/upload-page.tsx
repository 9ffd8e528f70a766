import { Select } from '@mantine/core';
import { useQuery } from '@tanstack/react-query';
import { useNavigate, useSearch } from '@tanstack/react-router';
import { useSession } from '../../api/session.js';
import { isUnsent, type QueuedUpload, useUploadQueue } from '../../api/upload-queue.js';
import { vehicleQueries } from '../../api/vehicles.js';
import { DrivingCaution } from '../../parts/caution.js';
import { EmptyState } from '../../parts/empty-state.js';
import { PageHead } from '../../parts/page-head.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { ButtonLink, TextLink } from '../../parts/text-link.js';
import { SEARCH_FIELD } from '../../shell/use-shell-keys.js';
import { AwaitingMap } from './awaiting-map.js';
import { ChooseFiles } from './choose-files.js';
import { QueueActions, QueueTable } from './queue-table.js';
import { RecentUploads } from './recent-uploads.js';
import { UnfinishedUploads } from './unfinished-uploads.js';

/** Brings drives to the server and shows what becomes of them. */
export function UploadPage() {
  const { vehicle, log } = useSearch({ from: '/house/logs/upload' });
  const navigate = useNavigate();
  const { person } = useSession();
  const vehicles = useQuery(vehicleQueries.list());
  const queue = useUploadQueue();
  const ownCars = (vehicles.data?.items ?? []).filter((car) => car.ownerId === person.id);
  const chosen = vehicle ?? (ownCars.length === 1 ? ownCars[0]?.id : undefined);
  return (
    <>
      <PageHead
        title="Upload drives"
        crumbs={<TextLink to="/logs">Logs</TextLink>}
        lead="Any number of recordings. A lost connection costs nothing: an upload goes on where it stood. Each original is kept as it came; the same file sent twice counts once."
        cautions={<DrivingCaution />}
      />
      <QueryView query={vehicles} isEmpty={(data) => data.items.length === 0} empty={<NoCar />}>
        {({ items }) => (
          <>
            <Select
              {...SEARCH_FIELD}
              label="Car that was driven"
              placeholder="Choose a car"
              searchable
              maw={420}
              mb="md"
              data={items.map((car) => ({
                value: car.id,
                label: car.ownerId === person.id ? car.title : `${car.title} · ${car.ownerName}`,
              }))}
              value={chosen ?? null}
              onChange={(value) => void navigate({ to: '/logs/upload', search: { vehicle: value ?? undefined } })}
            />
            <ChooseFiles vehicleId={chosen} />
          </>
        )}
      </QueryView>
      {queue.length > 0 && (
        <Section title="This upload" note={<WhenToLeave queue={queue} />} actions={<QueueActions queue={queue} />}>
          <QueueTable queue={queue} />
        </Section>
      )}
      <UnfinishedUploads queue={queue} />
      {log !== undefined && <AwaitingMap logId={log} />}
      {chosen !== undefined && <RecentUploads vehicleId={chosen} />}
    </>
  );
}

function WhenToLeave({ queue }: { readonly queue: readonly QueuedUpload[] }) {
  const isUnfinished = queue.some((entry) => isUnsent(entry) || entry.stage.kind === 'failed');
  return (
    <span role="status">
      {isUnfinished
        ? 'Keep this tab open until every file is sent; you may read other pages of Syncline meanwhile. What has arrived is kept for a week, whatever happens.'
        : 'All sent: you may close this tab. The server goes on by itself.'}
    </span>
  );
}

function NoCar() {
  return (
    <EmptyState title="Enter a car first" action={<ButtonLink to="/vehicles/new">Enter a car</ButtonLink>}>
      A drive belongs to a car: its gear ratios, mass and tyres are needed to read a shift.
    </EmptyState>
  );
}

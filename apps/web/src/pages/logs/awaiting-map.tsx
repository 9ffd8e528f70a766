import { useQuery } from '@tanstack/react-query';
import { useNavigate } from '@tanstack/react-router';
import { logQueries } from '../../api/logs.js';
import { vehicleQueries } from '../../api/vehicles.js';
import { EmptyState } from '../../parts/empty-state.js';
import { LogProgress } from '../../parts/log-progress.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { SignalMapEditor } from '../../parts/signal-map/signal-map-editor.js';
import { TextLink } from '../../parts/text-link.js';

/** What was understood of a file, and the question which column is which signal. */
export function AwaitingMap({ logId }: { readonly logId: string }) {
  const navigate = useNavigate();
  const log = useQuery(logQueries.one(logId));
  const vehicleId = log.data?.vehicleId;
  const saved = useQuery({
    ...vehicleQueries.signalMap(vehicleId ?? '', log.data?.inspection?.format ?? 'csv'),
    enabled: vehicleId !== undefined,
  });
  return (
    <Section
      title={log.data === undefined ? 'Columns of a drive' : `Columns of ${log.data.fileName}`}
      note="Check what was understood before any of it is believed. Your answer is saved for this car and this format of files: later ones with the same columns need no asking."
    >
      <QueryView query={log}>
        {(drive) =>
          drive.problem?.code === 'busSignals.missing' ? (
            <EmptyState
              title="This bus capture cannot be read yet"
              action={
                <TextLink to="/vehicles/$vehicleId" params={{ vehicleId: drive.vehicleId }}>
                  Open the car
                </TextLink>
              }
            >
              {drive.problem.detail} {drive.problem.remedy}
            </EmptyState>
          ) : drive.state !== 'awaitingMap' || drive.inspection === null ? (
            <EmptyState
              title="This drive needs no answer"
              action={
                <TextLink to="/logs/$logId" params={{ logId }}>
                  Open the drive
                </TextLink>
              }
            >
              <LogProgress log={drive} />
            </EmptyState>
          ) : (
            <QueryView query={saved}>
              {({ map }) => (
                <SignalMapEditor
                  vehicleId={drive.vehicleId}
                  inspection={drive.inspection as NonNullable<typeof drive.inspection>}
                  saved={map}
                  saveLabel="Save and go on"
                  onSaved={() => void navigate({ to: '/logs/upload', search: { vehicle: drive.vehicleId } })}
                />
              )}
            </QueryView>
          )
        }
      </QueryView>
    </Section>
  );
}

import { Text } from '@mantine/core';
import { useQuery } from '@tanstack/react-query';
import { logQueries } from '../../api/logs.js';
import { vehicleQueries } from '../../api/vehicles.js';
import { SIGNAL_TERMS } from '../../format/signals.js';
import { EmptyState } from '../../parts/empty-state.js';
import { HelpTerm } from '../../parts/help-term.js';
import { Instant } from '../../parts/instant.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { SignalMapEditor } from '../../parts/signal-map/signal-map-editor.js';
import { ButtonLink } from '../../parts/text-link.js';
import classes from './vehicle.module.css';

interface SignalMapSectionProps {
  readonly vehicleId: string;
  readonly mayWrite: boolean;
}

/** Which column of this car's files is which signal. Altered beside the newest file, so that its values are in sight. */
export function SignalMapSection({ vehicleId, mayWrite }: SignalMapSectionProps) {
  const saved = useQuery(vehicleQueries.signalMap(vehicleId));
  const newest = useQuery(logQueries.list({ vehicle: vehicleId, limit: 1 }));
  const newestId = newest.data?.items[0]?.id;
  const log = useQuery({ ...logQueries.one(newestId ?? ''), enabled: newestId !== undefined });
  const inspection = log.data?.inspection ?? null;
  return (
    <Section
      title={<HelpTerm term="signalMap">Signal map</HelpTerm>}
      note={
        saved.data?.updatedAt && (
          <>
            Saved <Instant at={saved.data.updatedAt} />. Altering it reads drives again that wait for it or failed.
          </>
        )
      }
    >
      <QueryView query={saved}>
        {({ map }) => {
          if (mayWrite && inspection !== null) {
            return (
              <details>
                <summary>
                  {map === null ? 'Not saved yet: check the suggestion' : `${map.signals.length} signals mapped`}{' '}
                  (beside the newest file, {log.data?.fileName})
                </summary>
                <SignalMapEditor vehicleId={vehicleId} inspection={inspection} saved={map} saveLabel="Save" />
              </details>
            );
          }
          if (map === null) return <NoMap vehicleId={vehicleId} mayWrite={mayWrite} />;
          return (
            <dl className={classes.facts}>
              <dt>Time</dt>
              <dd>
                <code>{map.time.column}</code>
              </dd>
              {map.signals.map(({ signal, column, unit }) => (
                <MappedSignal key={signal} signal={signal} column={column} unit={unit} />
              ))}
            </dl>
          );
        }}
      </QueryView>
    </Section>
  );
}

function MappedSignal({
  signal,
  column,
  unit,
}: {
  readonly signal: string;
  readonly column: string;
  readonly unit: string;
}) {
  return (
    <>
      <dt>{SIGNAL_TERMS.find((term) => term.id === signal)?.title ?? signal}</dt>
      <dd>
        <code>{column}</code>{' '}
        {unit !== '' && (
          <Text span c="dimmed">
            ({unit})
          </Text>
        )}
      </dd>
    </>
  );
}

function NoMap({ vehicleId, mayWrite }: SignalMapSectionProps) {
  return (
    <EmptyState
      title="No file has been seen yet"
      action={
        mayWrite && (
          <ButtonLink to="/logs/upload" search={{ vehicle: vehicleId }}>
            Upload a drive
          </ButtonLink>
        )
      }
    >
      With the first drive the reader suggests which column is which; you confirm it.
    </EmptyState>
  );
}

import { Text } from '@mantine/core';
import type { Inspection, LogFormat, SignalMapDocument } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { logQueries } from '../../api/logs.js';
import { vehicleQueries } from '../../api/vehicles.js';
import { SIGNAL_TERMS } from '../../format/signals.js';
import { LOG_FORMAT_WORDS } from '../../format/words.js';
import { EmptyState } from '../../parts/empty-state.js';
import { HelpTerm } from '../../parts/help-term.js';
import { Instant } from '../../parts/instant.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { codesText } from '../../parts/signal-map/codes.js';
import { SignalMapEditor } from '../../parts/signal-map/signal-map-editor.js';
import { ButtonLink } from '../../parts/text-link.js';
import classes from './vehicle.module.css';

interface SignalMapSectionProps {
  readonly vehicleId: string;
  readonly mayWrite: boolean;
}

/** A file of the car beside which its map is altered, so that its values are in sight. */
interface SeenFile {
  readonly fileName: string;
  readonly inspection: Inspection;
}

/** Which column of this car's files is which signal, for each format of files that it has sent. */
export function SignalMapSection({ vehicleId, mayWrite }: SignalMapSectionProps) {
  const newest = useQuery(logQueries.list({ vehicle: vehicleId, limit: 1 }));
  const newestId = newest.data?.items[0]?.id;
  const log = useQuery({ ...logQueries.one(newestId ?? ''), enabled: newestId !== undefined });
  const inspection = log.data?.inspection ?? null;
  const seen = inspection === null ? null : { fileName: log.data?.fileName ?? '', inspection };
  const saved = useQuery(vehicleQueries.signalMap(vehicleId, inspection?.format ?? 'csv'));
  return (
    <Section
      title={<HelpTerm term="signalMap">Signal maps</HelpTerm>}
      note="One for each format of files. Altering one reads drives again that wait for it or failed."
    >
      <QueryView query={saved}>
        {({ mappedFormats }) => {
          const formats = [...new Set([...(inspection === null ? [] : [inspection.format]), ...mappedFormats])];
          if (formats.length === 0) return <NoMap vehicleId={vehicleId} mayWrite={mayWrite} />;
          return formats.map((format) => (
            <FormatMap
              key={format}
              vehicleId={vehicleId}
              format={format}
              seen={mayWrite && seen?.inspection.format === format ? seen : null}
            />
          ));
        }}
      </QueryView>
    </Section>
  );
}

interface FormatMapProps {
  readonly vehicleId: string;
  readonly format: LogFormat;
  /** The newest file, when it is of this format and the map may be altered. */
  readonly seen: SeenFile | null;
}

function FormatMap({ vehicleId, format, seen }: FormatMapProps) {
  const saved = useQuery(vehicleQueries.signalMap(vehicleId, format));
  return (
    <QueryView query={saved}>
      {({ map, updatedAt }) => (
        <details>
          <summary>
            {LOG_FORMAT_WORDS[format]}:{' '}
            {map === null ? 'not saved yet, check the suggestion' : `${map.signals.length} signals`}
            {updatedAt !== null && (
              <>
                , saved <Instant at={updatedAt} />
              </>
            )}
            {seen !== null && `, beside ${seen.fileName}`}
          </summary>
          {seen !== null && (
            <SignalMapEditor vehicleId={vehicleId} inspection={seen.inspection} saved={map} saveLabel="Save" />
          )}
          {seen === null && map !== null && <MapFacts map={map} />}
        </details>
      )}
    </QueryView>
  );
}

function MapFacts({ map }: { readonly map: SignalMapDocument }) {
  return (
    <dl className={classes.facts}>
      <dt>Time</dt>
      <dd>
        <code>{map.time.column}</code>
      </dd>
      {map.signals.map((entry) => (
        <MappedSignal key={entry.signal} entry={entry} />
      ))}
    </dl>
  );
}

function MappedSignal({ entry }: { readonly entry: SignalMapDocument['signals'][number] }) {
  const { signal, column, unit, codes } = entry;
  return (
    <>
      <dt>{SIGNAL_TERMS.find((term) => term.id === signal)?.title ?? signal}</dt>
      <dd>
        <code>{column}</code>{' '}
        {(unit !== '' || codes !== undefined) && (
          <Text span c="dimmed">
            ({unit || codesText(codes)})
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

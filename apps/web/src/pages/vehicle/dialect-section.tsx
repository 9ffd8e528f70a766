import { Button, Select, Text, TextInput } from '@mantine/core';
import { mayDo, observeDialectRequest, type PlatformResponse, type VehicleResponse } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { platformQueries } from '../../api/platforms.js';
import { useSession } from '../../api/session.js';
import { useObserveDialect, useUpdateVehicle } from '../../api/vehicles.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { HelpTerm } from '../../parts/help-term.js';
import { Instant } from '../../parts/instant.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { Section } from '../../parts/section.js';
import { VerdictMark } from '../../parts/state-mark.js';
import { useForm } from '../../parts/use-form.js';
import classes from './vehicle.module.css';

type Dialects = PlatformResponse['platform']['dialects'];
type Observation = VehicleResponse['observations'][number];

const VERDICT_NOTES: Record<VehicleResponse['dialectVerdict'], string> = {
  confirmed: 'What was observed is what was declared.',
  contradicted: 'What was observed is not what was declared: no revision may be offered until this is cleared up.',
  unknown: 'Nothing has been observed yet, so the label alone stands. A label is no proof.',
};

interface DialectSectionProps {
  readonly vehicle: VehicleResponse;
  readonly mayWrite: boolean;
}

/** Declared against observed bus dialect, with the verdict and who observed what. */
export function DialectSection({ vehicle, mayWrite }: DialectSectionProps) {
  const { role } = useSession().person;
  const platform = useQuery(platformQueries.one(vehicle.platformId));
  const dialects = platform.data?.platform.dialects ?? [];
  const titleOf = (id: string | null) => dialects.find((dialect) => dialect.id === id)?.title ?? id ?? 'not known';
  return (
    <Section title={<HelpTerm term="dialect">Bus dialect</HelpTerm>} note={VERDICT_NOTES[vehicle.dialectVerdict]}>
      <div className={classes.dialects}>
        <dl>
          <div>
            <dt>Declared</dt>
            <dd>{titleOf(vehicle.declaredDialect)}</dd>
          </div>
          <div>
            <dt>Observed</dt>
            <dd>{titleOf(vehicle.observedDialect)}</dd>
          </div>
          <div>
            <dt>Verdict</dt>
            <dd>
              <VerdictMark verdict={vehicle.dialectVerdict} />
            </dd>
          </div>
        </dl>
        {mayWrite && <DeclareChoice vehicle={vehicle} dialects={dialects} />}
      </div>
      {vehicle.observations.length > 0 && (
        <DataTable
          label="Observations of the bus dialect"
          columns={observationColumns(titleOf)}
          rows={vehicle.observations}
          rowId={(observation) => observation.id}
        />
      )}
      {mayDo(role, 'vehicle:observe') && <ObservationForm vehicleId={vehicle.id} dialects={dialects} />}
    </Section>
  );
}

function observationColumns(titleOf: (id: string | null) => string): readonly DataColumn<Observation>[] {
  return [
    { id: 'dialect', title: 'Observed', render: ({ dialect }) => titleOf(dialect) },
    { id: 'source', title: 'From', render: ({ source }) => (source === 'capture' ? 'bus capture' : 'inspection') },
    { id: 'note', title: 'Note', render: ({ note }) => note },
    { id: 'at', title: 'When', render: ({ observedAt }) => <Instant at={observedAt} /> },
    { id: 'by', title: 'By', render: ({ byName }) => byName },
  ];
}

function DeclareChoice({ vehicle, dialects }: { readonly vehicle: VehicleResponse; readonly dialects: Dialects }) {
  const update = useUpdateVehicle(vehicle);
  return (
    <>
      <Select
        label="Alter what is declared"
        placeholder="Not known"
        clearable
        w={200}
        data={dialects.map(({ id, title }) => ({ value: id, label: title }))}
        value={vehicle.declaredDialect}
        disabled={update.isPending}
        onChange={(declaredDialect) => update.mutate({ declaredDialect })}
      />
      {update.error !== null && <ProblemNotice error={update.error} />}
    </>
  );
}

function ObservationForm({ vehicleId, dialects }: { readonly vehicleId: string; readonly dialects: Dialects }) {
  const observe = useObserveDialect(vehicleId);
  const form = useForm({
    initial: { dialect: null as string | null, source: 'capture' as string | null, note: '' },
    schema: observeDialectRequest,
    error: observe.error,
    onSubmit: (request) => observe.mutate(request, { onSuccess: () => form.set('note', '') }),
  });
  return (
    <form onSubmit={form.submit} noValidate>
      <div className={classes.inline}>
        <Select
          label="Record what was observed"
          placeholder="None of the known ones"
          clearable
          w={220}
          data={dialects.map(({ id, title }) => ({ value: id, label: title }))}
          {...form.choice('dialect')}
        />
        <Select
          label="From"
          allowDeselect={false}
          w={150}
          data={[
            { value: 'capture', label: 'Bus capture' },
            { value: 'inspection', label: 'Inspection' },
          ]}
          {...form.choice('source')}
        />
        <TextInput label="Note" placeholder="What speaks for it" w={300} {...form.field('note')} />
        <Button type="submit" variant="default" loading={observe.isPending}>
          Record
        </Button>
      </div>
      <Text size="sm" role="status" c="dimmed">
        {observe.isSuccess && 'Recorded; the verdict above follows it.'}
      </Text>
      {observe.error !== null && <ProblemNotice error={observe.error} />}
    </form>
  );
}

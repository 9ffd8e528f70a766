import { Button, Select, Text, TextInput } from '@mantine/core';
import { observeDialectRequest, type VehicleResponse } from '@syncline/contract';
import { useObserveDialect } from '../../api/vehicles.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { Instant } from '../../parts/instant.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { useForm } from '../../parts/use-form.js';
import classes from './vehicle.module.css';

type Observation = VehicleResponse['observations'][number];
type TitleOf = (dialectId: string | null) => string;

interface DialectObservationsProps {
  readonly vehicle: VehicleResponse;
  readonly dialects: readonly { readonly id: string; readonly title: string }[];
  readonly titleOf: TitleOf;
  readonly mayObserve: boolean;
}

/** Who or what observed which dialect; captures add theirs by themselves. */
export function DialectObservations({ vehicle, dialects, titleOf, mayObserve }: DialectObservationsProps) {
  return (
    <>
      {vehicle.observations.length > 0 && (
        <DataTable
          label="Observations of the bus dialect"
          columns={columns(titleOf)}
          rows={vehicle.observations}
          rowId={(observation) => observation.id}
        />
      )}
      {mayObserve && <ObservationForm vehicleId={vehicle.id} dialects={dialects} />}
    </>
  );
}

function columns(titleOf: TitleOf): readonly DataColumn<Observation>[] {
  return [
    { id: 'dialect', title: 'Observed', render: ({ dialect }) => titleOf(dialect) },
    { id: 'declared', title: 'Declared then', render: ({ declaredDialect }) => titleOf(declaredDialect) },
    { id: 'source', title: 'From', render: ({ source }) => (source === 'capture' ? 'bus capture' : 'inspection') },
    { id: 'note', title: 'Note', render: ({ note }) => note },
    { id: 'at', title: 'When', render: ({ observedAt }) => <Instant at={observedAt} /> },
    { id: 'by', title: 'By', render: ({ byName }) => byName },
  ];
}

function ObservationForm({
  vehicleId,
  dialects,
}: Pick<DialectObservationsProps, 'dialects'> & { readonly vehicleId: string }) {
  const observe = useObserveDialect(vehicleId);
  const form = useForm({
    initial: { dialect: null as string | null, source: 'inspection' as string | null, note: '' },
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
            { value: 'inspection', label: 'Inspection' },
            { value: 'capture', label: 'Bus capture' },
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

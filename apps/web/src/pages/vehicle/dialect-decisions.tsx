import { Button, Select, Text, TextInput } from '@mantine/core';
import { decideDialectRequest, mayDo, type VehicleDialectResponse, type VehicleResponse } from '@syncline/contract';
import { useSession } from '../../api/session.js';
import { useDecideDialect } from '../../api/vehicles.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { Instant } from '../../parts/instant.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { useForm } from '../../parts/use-form.js';
import classes from './vehicle.module.css';

type Decision = VehicleDialectResponse['decisions'][number];

const DECISION_WORDS: Record<Decision['decision'], string> = {
  accept: 'may run revisions',
  refuse: 'may not run revisions',
};

interface DialectDecisionsProps {
  readonly vehicle: VehicleResponse;
  /** Newest first. */
  readonly decisions: readonly Decision[];
  readonly titleOf: (dialectId: string | null) => string;
}

/** What maintainers decided on a car whose dialect is not confirmed, and the form to decide. */
export function DialectDecisions({ vehicle, decisions, titleOf }: DialectDecisionsProps) {
  const mayDecide = mayDo(useSession().person.role, 'vehicle:observe');
  const isOpen = vehicle.dialectVerdict !== 'confirmed' || decisions.some(({ lapsedAt }) => lapsedAt === null);
  return (
    <>
      {decisions.length > 0 && (
        <DataTable
          label="Decisions on the bus dialect"
          columns={columns(titleOf)}
          rows={decisions}
          rowId={({ id }) => id}
        />
      )}
      {mayDecide && isOpen && <DecisionForm vehicleId={vehicle.id} />}
    </>
  );
}

function columns(titleOf: (dialectId: string | null) => string): readonly DataColumn<Decision>[] {
  return [
    { id: 'decision', title: 'Decided', render: ({ decision }) => DECISION_WORDS[decision] },
    { id: 'reason', title: 'Reason', render: ({ reason }) => reason },
    {
      id: 'pair',
      title: 'Declared, observed',
      render: ({ declaredDialect, observedDialect }) => `${titleOf(declaredDialect)}, ${titleOf(observedDialect)}`,
    },
    { id: 'by', title: 'By', render: ({ byName }) => byName },
    { id: 'at', title: 'When', render: ({ decidedAt }) => <Instant at={decidedAt} /> },
    {
      id: 'holds',
      title: 'Holds',
      render: ({ lapsedAt }) =>
        lapsedAt === null ? (
          'yes'
        ) : (
          <>
            until <Instant at={lapsedAt} />
          </>
        ),
    },
  ];
}

function DecisionForm({ vehicleId }: { readonly vehicleId: string }) {
  const decide = useDecideDialect(vehicleId);
  const form = useForm({
    initial: { decision: 'refuse' as string | null, reason: '' },
    schema: decideDialectRequest,
    error: decide.error,
    onSubmit: (request) => decide.mutate(request, { onSuccess: () => form.set('reason', '') }),
  });
  return (
    <form onSubmit={form.submit} noValidate>
      <div className={classes.inline}>
        <Select
          label="Decide, as long as declared and observed stay as they are"
          allowDeselect={false}
          w={320}
          data={[
            { value: 'refuse', label: 'It may not run revisions' },
            { value: 'accept', label: 'It may run revisions' },
          ]}
          {...form.choice('decision')}
        />
        <TextInput label="Reason" placeholder="What speaks for it" w={320} {...form.field('reason')} />
        <Button type="submit" variant="default" loading={decide.isPending}>
          Decide
        </Button>
      </div>
      <Text size="sm" role="status" c="dimmed">
        {decide.isSuccess && 'Decided; it lapses when declared or observed dialect changes.'}
      </Text>
      {decide.error !== null && <ProblemNotice error={decide.error} />}
    </form>
  );
}

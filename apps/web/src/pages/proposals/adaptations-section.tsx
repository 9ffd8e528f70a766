import { Button, Group, NumberInput, Select, Stack, Textarea, TextInput } from '@mantine/core';
import { useDisclosure } from '@mantine/hooks';
import { type Adaptation, createAdaptationRequest, type VehicleResponse } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { type FormEvent, useState } from 'react';
import { proposalQueries, useAddAdaptation } from '../../api/proposals.js';
import { fromLocalInput, toLocalInput } from '../../format/local-time.js';
import { counted, formatChange } from '../../format/quantity.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { DateTimeField } from '../../parts/date-time-field.js';
import { Instant } from '../../parts/instant.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import classes from './proposals.module.css';

const COLUMNS: readonly DataColumn<Adaptation>[] = [
  { id: 'read', title: 'Read out', render: ({ readAt }) => <Instant at={readAt} /> },
  { id: 'revision', title: 'Under', render: ({ revisionLabel }) => revisionLabel },
  { id: 'values', title: 'Learnt', render: ({ values }) => describeValues(values) },
  { id: 'note', title: 'Note', render: ({ note, byName }) => [note, byName].filter(Boolean).join(' · ') },
];

const MOST_NAMED = 4;

function describeValues(values: Adaptation['values']): string {
  const named = values.slice(0, MOST_NAMED).map((value) => {
    const where =
      'clutch' in value ? value.clutch : `${value.tableId} ${value.variant} (${value.row + 1}, ${value.column + 1})`;
    return `${where} ${formatChange(value.percent, '%', 1)}`;
  });
  return [...named, ...(values.length > MOST_NAMED ? [`${values.length - MOST_NAMED} more`] : [])].join(', ');
}

/** What the car's control unit has learnt by itself; it counts as evidence, and shifts driven since are read with it. */
export function AdaptationsSection({
  vehicle,
  mayWrite,
}: {
  readonly vehicle: VehicleResponse;
  readonly mayWrite: boolean;
}) {
  const query = useQuery(proposalQueries.adaptations(vehicle.id));
  const [isOpen, form] = useDisclosure(false);
  const canAdd = mayWrite && vehicle.installations.length > 0;
  if (!canAdd && query.data?.items.length === 0) return null;
  return (
    <Section
      title="Learnt by the control unit"
      note="Adaptation values that were read out of it. They tell the estimate what the car has made up for by itself."
      actions={
        canAdd &&
        !isOpen && (
          <Button variant="default" size="compact-sm" fw={500} onClick={form.open}>
            Add values
          </Button>
        )
      }
    >
      {isOpen && <AddForm vehicle={vehicle} onDone={form.close} />}
      <QueryView
        query={query}
        isEmpty={({ items }) => items.length === 0}
        empty={<p className={classes.soft}>None entered.</p>}
      >
        {({ items }) => <DataTable label="Adaptation values" columns={COLUMNS} rows={items} rowId={({ id }) => id} />}
      </QueryView>
    </Section>
  );
}

const EXAMPLE = '[{ "clutch": "E", "percent": 3.5 }]';

function AddForm({ vehicle, onDone }: { readonly vehicle: VehicleResponse; readonly onDone: () => void }) {
  const add = useAddAdaptation(vehicle.id);
  const [revisionId, setRevisionId] = useState<string | null>(vehicle.installations[0]?.revisionId ?? null);
  const [readAt, setReadAt] = useState(() => toLocalInput(new Date()));
  const [worthShifts, setWorthShifts] = useState(10);
  const [note, setNote] = useState('');
  const [values, setValues] = useState(EXAMPLE);
  const [fault, setFault] = useState<string | null>(null);
  const submit = (event: FormEvent) => {
    event.preventDefault();
    const parsed = createAdaptationRequest.safeParse({
      revisionId,
      readAt: readAt === '' ? null : fromLocalInput(readAt),
      worthShifts,
      note,
      values: parseJson(values),
    });
    const [issue] = parsed.error?.issues ?? [];
    setFault(issue === undefined ? null : `${issue.path.join('.')}: ${issue.message}`);
    if (parsed.success) add.mutate(parsed.data, { onSuccess: onDone });
  };
  const revisions = new Map(vehicle.installations.map((own) => [own.revisionId, own.revisionLabel]));
  return (
    <form onSubmit={submit}>
      <Stack gap="sm" mb="md">
        <div className={classes.form}>
          <Select
            label="Revision that ran"
            allowDeselect={false}
            data={[...revisions].map(([value, label]) => ({ value, label }))}
            value={revisionId}
            onChange={setRevisionId}
          />
          <DateTimeField label="Read out at" value={readAt} onChange={setReadAt} />
          <NumberInput
            label="Each tells as much as (shifts)"
            min={1}
            max={200}
            value={worthShifts}
            onChange={(value) => typeof value === 'number' && setWorthShifts(value)}
          />
          <TextInput label="Note" value={note} onChange={(event) => setNote(event.currentTarget.value)} />
        </div>
        <Textarea
          label="Values, as JSON"
          description={`For a clutch ${EXAMPLE}; for a cell of a table that repeats per shift {"tableId": "basePressure", "variant": "3-4", "row": 2, "column": 1, "percent": -2}; rows and columns from 0. Percent: learnt over tabulated pressure.`}
          autosize
          minRows={3}
          value={values}
          onChange={(event) => setValues(event.currentTarget.value)}
          error={fault}
        />
        {add.error !== null && <ProblemNotice error={add.error} />}
        <Group>
          <Button type="submit" loading={add.isPending}>
            Add {counted(countValues(values), 'value')}
          </Button>
          <Button variant="default" onClick={onDone}>
            Not now
          </Button>
        </Group>
      </Stack>
    </form>
  );
}

function parseJson(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return undefined;
  }
}

function countValues(text: string): number {
  const parsed = parseJson(text);
  return Array.isArray(parsed) ? parsed.length : 0;
}

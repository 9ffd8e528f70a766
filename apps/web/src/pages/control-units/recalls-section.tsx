import { Button, Group, Modal, Select, Text, Textarea } from '@mantine/core';
import type { AffectedResponse, UnitRecall } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { unitQueries, useRecallUnits } from '../../api/control-units.js';
import { counted } from '../../format/quantity.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { Instant } from '../../parts/instant.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import classes from './control-units.module.css';
import type { ControlUnitsSearch } from './control-units-search.js';

interface RecallsSectionProps {
  readonly search: ControlUnitsSearch;
  readonly onChange: (change: ControlUnitsSearch) => void;
  readonly mayRecall: boolean;
}

/** Finds the people of units of some hardware or firmware, and tells them. */
export function RecallsSection({ search, onChange, mayRecall }: RecallsSectionProps) {
  const { hardware, firmware } = search;
  const isAsked = hardware !== undefined || firmware !== undefined;
  const units = useQuery(unitQueries.list()).data?.items ?? [];
  const recalls = useQuery(unitQueries.recalls());
  const affected = useQuery({ ...unitQueries.affected({ hardware, firmware }), enabled: isAsked });
  const distinct = (values: string[]) => [...new Set(values.filter(Boolean))].sort();
  return (
    <Section title="Recall by hardware or firmware" note="Who has such a unit, and what they were told.">
      <div className={classes.row}>
        <Select
          label="Hardware"
          placeholder="Any"
          clearable
          w={160}
          data={distinct(units.map((unit) => unit.hardware))}
          value={hardware ?? null}
          onChange={(value) => onChange({ hardware: value ?? undefined })}
        />
        <Select
          label="Firmware"
          placeholder="Any"
          clearable
          w={160}
          data={distinct(units.map((unit) => unit.firmware))}
          value={firmware ?? null}
          onChange={(value) => onChange({ firmware: value ?? undefined })}
        />
        {isAsked && mayRecall && affected.data !== undefined && (
          <RecallButton make={{ hardware, firmware }} affected={affected.data} />
        )}
      </div>
      {isAsked && (
        <QueryView query={affected} isEmpty={({ items }) => items.length === 0} empty="No unit in use is like that.">
          {({ items }) => <DataTable label="Affected units" columns={AFFECTED} rows={items} rowId={({ id }) => id} />}
        </QueryView>
      )}
      <QueryView query={recalls} isEmpty={({ items }) => items.length === 0} empty="No unit was ever recalled.">
        {({ items }) => <DataTable label="Recalls" columns={RECALLS} rows={items} rowId={({ id }) => id} />}
      </QueryView>
    </Section>
  );
}

const AFFECTED: readonly DataColumn<AffectedResponse['items'][number]>[] = [
  { id: 'serial', title: 'Serial', render: ({ serial }) => serial },
  {
    id: 'make',
    title: 'Hardware, firmware',
    render: ({ hardware, firmware }) => `${hardware}, ${firmware || 'not known'}`,
  },
  { id: 'person', title: 'Person', render: ({ personName }) => personName ?? 'nobody: on the shelf' },
  { id: 'vehicle', title: 'Car', render: ({ vehicleTitle }) => vehicleTitle ?? 'none' },
];

const RECALLS: readonly DataColumn<UnitRecall>[] = [
  { id: 'at', title: 'At', isShort: true, render: ({ at }) => <Instant at={at} precision="day" /> },
  {
    id: 'make',
    title: 'Hardware, firmware',
    render: ({ hardware, firmware }) => `${hardware ?? 'any'}, ${firmware ?? 'any'}`,
  },
  { id: 'words', title: 'Told', render: ({ words }) => words },
  { id: 'units', title: 'Units still like that', isNumber: true, render: ({ units }) => units },
  { id: 'by', title: 'By', render: ({ byName }) => byName },
];

interface RecallButtonProps {
  readonly make: { readonly hardware: string | undefined; readonly firmware: string | undefined };
  readonly affected: AffectedResponse;
}

function RecallButton({ make, affected: { items } }: RecallButtonProps) {
  const [isOpen, setOpen] = useState(false);
  const [words, setWords] = useState('');
  const recall = useRecallUnits();
  const people = new Set(items.map(({ personId }) => personId).filter(Boolean)).size;
  return (
    <>
      <Button variant="default" onClick={() => setOpen(true)}>
        Recall these
      </Button>
      <Modal opened={isOpen} onClose={() => setOpen(false)} title="Recall these units">
        <form
          onSubmit={(event) => {
            event.preventDefault();
            const request = { hardware: make.hardware ?? null, firmware: make.firmware ?? null, words };
            recall.mutate(request, { onSuccess: () => setOpen(false) });
          }}
        >
          <Text size="sm" mb="sm">
            {counted(items.length, 'unit')} of {counted(people, 'person', 'people')}. They are told on their pages, and
            by mail where it is set up. The recall stays with a car until its unit reports another firmware or is
            changed.
          </Text>
          <Textarea
            label="What they are told"
            description="What is wrong, whether they may drive, what to do. Defer to a qualified workshop."
            autosize
            minRows={3}
            maxLength={2000}
            data-autofocus
            value={words}
            onChange={(event) => setWords(event.currentTarget.value)}
          />
          {recall.error !== null && <ProblemNotice error={recall.error} />}
          <Group gap="sm" mt="md">
            <Button type="submit" disabled={words.trim() === ''} loading={recall.isPending}>
              Recall
            </Button>
            <Button variant="default" onClick={() => setOpen(false)}>
              Cancel
            </Button>
          </Group>
        </form>
      </Modal>
    </>
  );
}

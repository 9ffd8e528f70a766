import { Button, NumberInput, Select, TextInput } from '@mantine/core';
import { type ControlUnitResponse, mayDo } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useId, useState } from 'react';
import { unitQueries, useReportFirmware, useUpdateUnit } from '../../api/control-units.js';
import { peopleQueries } from '../../api/people.js';
import { useSession } from '../../api/session.js';
import { vehicleQueries } from '../../api/vehicles.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { Instant } from '../../parts/instant.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { QueryView } from '../../parts/query-view.js';
import classes from './control-units.module.css';

type UnitEvent = ControlUnitResponse['events'][number];

const COLUMNS: readonly DataColumn<UnitEvent>[] = [
  { id: 'at', title: 'At', isShort: true, render: ({ at }) => <Instant at={at} /> },
  { id: 'change', title: 'What', render: ({ change }) => change || '–' },
  { id: 'note', title: 'Note', render: ({ note }) => note, distinct: ({ note }) => note },
  { id: 'by', title: 'By', render: ({ byName }) => byName },
];

interface UnitDetailProps {
  readonly unitId: string;
  readonly onClose: () => void;
}

/** One unit: its history, and what may be altered of it. */
export function UnitDetail({ unitId, onClose }: UnitDetailProps) {
  const query = useQuery(unitQueries.one(unitId));
  const { role } = useSession().person;
  const titleId = useId();
  return (
    <article className={classes.detail} aria-labelledby={titleId}>
      <h2 id={titleId} className={classes.title}>
        <span>Unit {query.data?.serial}</span>
        <Button variant="default" size="compact-sm" onClick={onClose}>
          Close
        </Button>
      </h2>
      <QueryView query={query}>
        {(unit) => (
          <>
            {mayDo(role, 'own:unit:report') && <FirmwareForm unit={unit} />}
            {mayDo(role, 'unit:write') && <PlaceForm unit={unit} />}
            <DataTable label="History of the unit" columns={COLUMNS} rows={unit.events} rowId={({ id }) => id} />
          </>
        )}
      </QueryView>
    </article>
  );
}

/** What the unit says of itself, by whoever has it at hand. */
function FirmwareForm({ unit }: { readonly unit: ControlUnitResponse }) {
  const report = useReportFirmware(unit.id);
  const [firmware, setFirmware] = useState(unit.firmware);
  const [layout, setLayout] = useState<number | string>(unit.layoutVersion ?? '');
  return (
    <form
      onSubmit={(event) => {
        event.preventDefault();
        report.mutate({ firmware, layoutVersion: layout === '' ? null : Number(layout) });
      }}
    >
      <div className={classes.row}>
        <TextInput
          label="Firmware as it reports it"
          w={200}
          value={firmware}
          onChange={(event) => setFirmware(event.currentTarget.value)}
        />
        <NumberInput label="Takes layout version" w={170} min={1} value={layout} onChange={setLayout} />
        <Button type="submit" variant="default" disabled={firmware.trim() === ''} loading={report.isPending}>
          Report
        </Button>
      </div>
      {report.error !== null && <ProblemNotice error={report.error} />}
    </form>
  );
}

/** Who holds it and in which car it is: what is not altered stays. */
function PlaceForm({ unit }: { readonly unit: ControlUnitResponse }) {
  const update = useUpdateUnit(unit.id);
  const people = useQuery(peopleQueries.list()).data?.items ?? [];
  const vehicles = useQuery(vehicleQueries.list()).data?.items ?? [];
  const [note, setNote] = useState('');
  const change = (values: {
    holderId?: string | null;
    vehicleId?: string | null;
    isRetired?: boolean;
    note?: string;
  }) => update.mutate({ note, ...values }, { onSuccess: () => setNote('') });
  return (
    <>
      <div className={classes.row}>
        <TextInput
          label="Note to the next change"
          w={220}
          maxLength={500}
          value={note}
          onChange={(event) => setNote(event.currentTarget.value)}
        />
        <Select
          label="Held by"
          placeholder="nobody"
          clearable
          searchable
          w={200}
          data={people.map(({ id, name }) => ({ value: id, label: name }))}
          value={unit.holderId}
          onChange={(holderId) => change({ holderId })}
        />
        <Select
          label="Fitted in"
          placeholder="no car"
          clearable
          searchable
          w={220}
          data={vehicles
            .filter(({ platformId }) => platformId === unit.platformId)
            .map(({ id, title, ownerName }) => ({ value: id, label: `${title}, ${ownerName}` }))}
          value={unit.vehicleId}
          onChange={(vehicleId) => change({ vehicleId })}
        />
        <Button variant="default" loading={update.isPending} onClick={() => change({ isRetired: !unit.isRetired })}>
          {unit.isRetired ? 'Back into use' : 'Retire'}
        </Button>
        <Button variant="default" disabled={note.trim() === ''} loading={update.isPending} onClick={() => change({})}>
          Add the note alone
        </Button>
      </div>
      {update.error !== null && <ProblemNotice error={update.error} />}
    </>
  );
}

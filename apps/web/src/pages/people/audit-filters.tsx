import { Select, TextInput } from '@mantine/core';
import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { peopleQueries } from '../../api/people.js';
import { fromLocalInput, toLocalInput } from '../../format/local-time.js';
import { DateTimeField } from '../../parts/date-time-field.js';
import { FilterBar } from '../../parts/filter-bar.js';
import type { PeopleSearch } from './people-search.js';

interface AuditFiltersProps {
  readonly search: PeopleSearch;
  readonly onChange: (change: PeopleSearch) => void;
}

/** Which entries of the audit trail are listed. */
export function AuditFilters({ search, onChange }: AuditFiltersProps) {
  const people = useQuery(peopleQueries.list()).data?.items ?? [];
  const choices = [...people.map(({ id, name }) => ({ value: id, label: name })), SYSTEM];
  return (
    <FilterBar>
      <Select
        label="Who"
        placeholder="Anybody"
        clearable
        searchable
        w={180}
        data={choices}
        value={search.who ?? null}
        onChange={(who) => onChange({ who: who ?? undefined })}
      />
      <SettledText
        label="Action"
        placeholder="vehicle or vehicle.install"
        value={search.action}
        onChange={(action) => onChange({ action })}
      />
      <SettledText
        label="Subject"
        placeholder="vehicle or vehicle:id"
        value={search.subject}
        onChange={(subject) => onChange({ subject })}
      />
      <DateTimeField label="From" value={localOf(search.from)} onChange={(from) => onChange({ from: isoOf(from) })} />
      <DateTimeField
        label="Before"
        value={localOf(search.until)}
        onChange={(until) => onChange({ until: isoOf(until) })}
      />
    </FilterBar>
  );
}

const SYSTEM = { value: 'system', label: 'the server itself' };

const localOf = (iso: string | undefined) => (iso === undefined ? '' : toLocalInput(new Date(iso)));
const isoOf = (local: string) => (local === '' ? undefined : fromLocalInput(local));

interface SettledTextProps {
  readonly label: string;
  readonly placeholder: string;
  readonly value: string | undefined;
  readonly onChange: (value: string | undefined) => void;
}

/** A text that goes into the address when it is done: on Enter, or when the field is left. */
function SettledText({ label, placeholder, value, onChange }: SettledTextProps) {
  const [typed, setTyped] = useState<string | null>(null);
  const settle = () => {
    if (typed === null) return;
    const settled = typed.trim() === '' ? undefined : typed.trim();
    if (settled !== value) onChange(settled);
    setTyped(null);
  };
  return (
    <TextInput
      label={label}
      placeholder={placeholder}
      w={210}
      value={typed ?? value ?? ''}
      onChange={(event) => setTyped(event.currentTarget.value)}
      onBlur={settle}
      onKeyDown={(event) => event.key === 'Enter' && settle()}
    />
  );
}

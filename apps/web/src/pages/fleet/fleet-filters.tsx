import { Input, SegmentedControl, Select } from '@mantine/core';
import { type Band, type OutcomeMeasure, outcomeMeasure } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { platformQueries } from '../../api/platforms.js';
import { MEASURE_WORDS } from '../../format/words.js';
import { FilterBar } from '../../parts/filter-bar.js';
import { useRevisionChoices } from '../../parts/use-revision-choices.js';
import { SEARCH_FIELD } from '../../shell/use-shell-keys.js';
import type { FleetSearch } from './fleet-search.js';
import type { FleetView } from './fleet-view.js';

interface FleetFiltersProps {
  readonly view: FleetView;
  readonly fluidTemperatureBands: readonly Band[];
  readonly onChange: (change: FleetSearch) => void;
}

/** Which measure, and over which part of the driving. */
export function FleetFilters({ view, fluidTemperatureBands, onChange }: FleetFiltersProps) {
  const platforms = useQuery(platformQueries.list()).data?.items ?? [];
  const programs = useQuery(platformQueries.one(view.platform)).data?.platform.programs ?? [];
  const revisions = useRevisionChoices(view.platform);
  return (
    <FilterBar>
      <Input.Wrapper label="Measure" labelElement="div">
        <SegmentedControl
          aria-label="Measure"
          display="flex"
          value={view.measure}
          onChange={(value) => onChange({ measure: value as OutcomeMeasure })}
          data={outcomeMeasure.options.map((value) => ({ value, label: MEASURE_WORDS[value] }))}
        />
      </Input.Wrapper>
      {platforms.length > 1 && (
        <Select
          label="Gearbox"
          allowDeselect={false}
          data={platforms.map(({ id, title }) => ({ value: id, label: title }))}
          value={view.platform}
          onChange={(value) =>
            onChange({ platform: value ?? undefined, revision: undefined, program: undefined, fluid: undefined })
          }
        />
      )}
      <Select
        {...SEARCH_FIELD}
        label="Revision"
        placeholder="All revisions"
        clearable
        w={200}
        data={revisions}
        value={view.revision ?? null}
        onChange={(value) => onChange({ revision: value ?? undefined })}
      />
      <Select
        label="Program"
        placeholder="All programs"
        clearable
        w={160}
        data={programs.map(({ id, title }) => ({ value: id, label: title }))}
        value={view.program ?? null}
        onChange={(value) => onChange({ program: value ?? undefined })}
      />
      <Select
        label="Fluid temperature"
        placeholder="All temperatures"
        clearable
        w={190}
        data={fluidTemperatureBands.map(({ index, label }) => ({ value: String(index), label }))}
        value={view.fluidTemperatureBand === undefined ? null : String(view.fluidTemperatureBand)}
        onChange={(value) => onChange({ fluid: value === null ? undefined : Number(value) })}
      />
    </FilterBar>
  );
}

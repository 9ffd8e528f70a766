import { Select } from '@mantine/core';
import { type Band, outcomeMeasure, SPREAD_MEASURES } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { platformQueries } from '../../api/platforms.js';
import { isSpreadMeasure, MEASURED, measureWord } from '../../format/measured.js';
import { CohortFilters } from '../../parts/cohort-filters.js';
import { FilterBar } from '../../parts/filter-bar.js';
import { useRevisionChoices } from '../../parts/use-revision-choices.js';
import { SEARCH_FIELD } from '../../shell/use-shell-keys.js';
import type { FleetSearch } from './fleet-search.js';
import type { FleetView } from './fleet-view.js';

const MEASURE_CHOICES = [
  { group: 'Rate of', items: outcomeMeasure.options.map((value) => ({ value, label: measureWord(value) })) },
  {
    group: 'Measured',
    items: SPREAD_MEASURES.map((value) => ({ value, label: `${MEASURED[value].title} (${MEASURED[value].unit})` })),
  },
];

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
  const isSpread = isSpreadMeasure(view.measure);
  return (
    <FilterBar>
      <Select
        {...SEARCH_FIELD}
        label="Measure"
        allowDeselect={false}
        w={190}
        maxDropdownHeight={420}
        data={MEASURE_CHOICES}
        value={view.measure}
        onChange={(value) => onChange({ measure: (value as FleetSearch['measure']) ?? undefined })}
      />
      {platforms.length > 1 && (
        <Select
          label="Gearbox"
          allowDeselect={false}
          data={platforms.map(({ id, title }) => ({ value: id, label: title }))}
          value={view.platform}
          onChange={(value) => onChange({ ...NO_FILTER, platform: value ?? undefined })}
        />
      )}
      <Select
        label="Revision"
        placeholder="All revisions"
        clearable
        w={190}
        data={revisions}
        value={view.revision ?? null}
        onChange={(value) => onChange({ revision: value ?? undefined })}
      />
      <CohortFilters platform={view.platform} dialect={view.dialect} engine={view.engine} onChange={onChange} />
      <Select
        label="Program"
        placeholder={isSpread ? 'All together' : 'All programs'}
        title={isSpread ? 'Quantities are kept over all programs together.' : undefined}
        disabled={isSpread}
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
        w={170}
        data={fluidTemperatureBands.map(({ index, label }) => ({ value: String(index), label }))}
        value={view.fluidTemperatureBand === undefined ? null : String(view.fluidTemperatureBand)}
        onChange={(value) => onChange({ fluid: value === null ? undefined : Number(value) })}
      />
    </FilterBar>
  );
}

/** What belongs to one gearbox and means nothing on another. */
const NO_FILTER: FleetSearch = {
  revision: undefined,
  program: undefined,
  fluid: undefined,
  dialect: undefined,
  engine: undefined,
};

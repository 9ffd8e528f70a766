import { Button, Select, Stack, Text } from '@mantine/core';
import type { ShiftFacetsResponse } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { platformQueries } from '../../api/platforms.js';
import { CohortFilters } from '../../parts/cohort-filters.js';
import { GradeMark } from '../../parts/grade-mark.js';
import { GRADE_SHAPES, type Grade } from '../../parts/grade-shapes.js';
import { thinnedWords } from './distribution-words.js';
import { FacetList } from './facet-list.js';
import { RangeFilter } from './range-filter.js';
import { isFiltered } from './shift-view.js';
import type { ShiftsSearch } from './shifts-search.js';

interface ShiftFiltersProps {
  readonly search: ShiftsSearch;
  /** Undefined while the counts are on their way. */
  readonly facets: ShiftFacetsResponse | undefined;
  readonly onChange: (change: Partial<ShiftsSearch>) => void;
  readonly onClear: () => void;
}

/** Every dimension that a shift can be filtered by, with the shifts that each value would leave. */
export function ShiftFilters({ search, facets, onChange, onClear }: ShiftFiltersProps) {
  const platforms = useQuery(platformQueries.list()).data?.items ?? [];
  const platform = search.platform ?? platforms[0]?.id;
  const choice = (name: 'revision' | 'vehicle' | 'kind' | 'grade' | 'program') => ({
    chosen: search[name],
    onChoose: (value: string | undefined) => onChange({ [name]: value }),
  });
  return (
    <search aria-label="Filters of shifts">
      <Stack gap="md">
        {facets !== undefined && facets.everyNthDrive > 1 && (
          <Text size="xs" c="dimmed">
            {thinnedWords(facets.everyNthDrive, 'The counts below')}
          </Text>
        )}
        {platforms.length > 1 && (
          <Select
            label="Gearbox"
            placeholder="All"
            clearable
            data={platforms.map(({ id, title }) => ({ value: id, label: title }))}
            value={search.platform ?? null}
            onChange={(value) => onChange({ platform: value ?? undefined })}
          />
        )}
        <FacetList title="Shift" facet={facets?.kinds} isFirst {...choice('kind')} />
        <FacetList
          title="Grade"
          facet={facets?.grades}
          render={({ value, label }) => (value in GRADE_SHAPES ? <GradeMark grade={value as Grade} /> : label)}
          {...choice('grade')}
        />
        <RangeFilter
          label="Load"
          unit="%"
          min={search.loadMin}
          max={search.loadMax}
          onChange={({ min, max }) => onChange({ loadMin: min, loadMax: max })}
        />
        <RangeFilter
          label="Input speed"
          unit="rpm"
          min={search.inputSpeedMin}
          max={search.inputSpeedMax}
          onChange={({ min, max }) => onChange({ inputSpeedMin: min, inputSpeedMax: max })}
        />
        <RangeFilter
          label="Fluid temperature"
          unit="°C"
          min={search.fluidTemperatureMin}
          max={search.fluidTemperatureMax}
          onChange={({ min, max }) => onChange({ fluidTemperatureMin: min, fluidTemperatureMax: max })}
        />
        {platform !== undefined && (
          <CohortFilters platform={platform} dialect={search.dialect} engine={search.engine} onChange={onChange} />
        )}
        <FacetList title="Program" facet={facets?.programs} {...choice('program')} />
        <FacetList title="Revision" facet={facets?.revisions} {...choice('revision')} />
        <FacetList title="Car" facet={facets?.vehicles} {...choice('vehicle')} />
        {search.log !== undefined && (
          <Button variant="default" size="xs" onClick={() => onChange({ log: undefined })}>
            Not only this one drive
          </Button>
        )}
        <Button variant="default" size="xs" disabled={!isFiltered(search)} onClick={onClear}>
          Clear filters
        </Button>
      </Stack>
    </search>
  );
}

import { Button, Select, Stack } from '@mantine/core';
import { useQuery } from '@tanstack/react-query';
import { platformQueries } from '../../api/platforms.js';
import { vehicleQueries } from '../../api/vehicles.js';
import { GRADE_SHAPES } from '../../parts/grade-shapes.js';
import { useRevisionChoices } from '../../parts/use-revision-choices.js';
import { SEARCH_FIELD } from '../../shell/use-shell-keys.js';
import { RangeFilter } from './range-filter.js';
import { isFiltered } from './shift-view.js';
import type { ShiftsSearch } from './shifts-search.js';

interface ShiftFiltersProps {
  readonly search: ShiftsSearch;
  readonly onChange: (change: Partial<ShiftsSearch>) => void;
  readonly onClear: () => void;
}

/** Every dimension that a shift can be filtered by. */
export function ShiftFilters({ search, onChange, onClear }: ShiftFiltersProps) {
  const platforms = useQuery(platformQueries.list()).data?.items ?? [];
  const platformId = search.platform ?? platforms[0]?.id;
  const platform = useQuery({ ...platformQueries.one(platformId ?? ''), enabled: platformId !== undefined }).data
    ?.platform;
  const vehicles = useQuery(vehicleQueries.list()).data?.items ?? [];
  const revisions = useRevisionChoices(search.platform);
  const choice = (name: 'platform' | 'revision' | 'vehicle' | 'kind' | 'grade' | 'program') => ({
    clearable: true,
    value: search[name] ?? null,
    onChange: (value: string | null) => onChange({ [name]: value ?? undefined }),
  });
  return (
    <search aria-label="Filters of shifts">
      <Stack gap="sm">
        <Select
          {...SEARCH_FIELD}
          label="Shift"
          placeholder="All"
          searchable
          data={(platform?.shifts ?? []).map(({ id }) => id)}
          {...choice('kind')}
        />
        <Select
          label="Grade"
          placeholder="All"
          data={Object.entries(GRADE_SHAPES).map(([value, { word }]) => ({ value, label: word }))}
          {...choice('grade')}
        />
        <Select
          label="Car"
          placeholder="All"
          searchable
          data={vehicles.map(({ id, title }) => ({ value: id, label: title }))}
          {...choice('vehicle')}
        />
        <Select label="Revision" placeholder="All" data={revisions} {...choice('revision')} />
        <Select
          label="Program"
          placeholder="All"
          data={(platform?.programs ?? []).map(({ id, title }) => ({ value: id, label: title }))}
          {...choice('program')}
        />
        {platforms.length > 1 && (
          <Select
            label="Gearbox"
            placeholder="All"
            data={platforms.map(({ id, title }) => ({ value: id, label: title }))}
            {...choice('platform')}
          />
        )}
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
        <Button variant="default" size="xs" disabled={!isFiltered(search)} onClick={onClear}>
          Clear filters
        </Button>
      </Stack>
    </search>
  );
}

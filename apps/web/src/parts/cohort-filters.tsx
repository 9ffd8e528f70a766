import { Select } from '@mantine/core';
import { useQuery } from '@tanstack/react-query';
import { fleetQueries } from '../api/fleet.js';
import { counted } from '../format/quantity.js';
import { useDialectTitles } from './use-dialect-titles.js';

interface CohortFiltersProps {
  readonly platform: string;
  readonly dialect: string | undefined;
  readonly engine: string | undefined;
  readonly onChange: (change: { dialect?: string | undefined; engine?: string | undefined }) => void;
}

/** Cars that share a dialect or an engine. A dimension in which all cars are alike offers nothing to choose. */
export function CohortFilters({ platform, dialect, engine, onChange }: CohortFiltersProps) {
  const cohorts = useQuery(fleetQueries.cohorts(platform)).data;
  const { titleOf } = useDialectTitles(platform);
  const { dialects = [], engines = [] } = cohorts ?? {};
  const withCars = (label: string, vehicles: number) => `${label}, ${counted(vehicles, 'car')}`;
  return (
    <>
      {(dialects.length > 1 || dialect !== undefined) && (
        <Select
          label="Bus dialect"
          placeholder="All dialects"
          clearable
          w={170}
          data={dialects.map(({ value, vehicles }) => ({ value, label: withCars(titleOf(value), vehicles) }))}
          value={dialect ?? null}
          onChange={(value) => onChange({ dialect: value ?? undefined })}
        />
      )}
      {(engines.length > 1 || engine !== undefined) && (
        <Select
          label="Engine"
          placeholder="All engines"
          clearable
          w={190}
          data={engines.map(({ value, vehicles }) => ({ value, label: withCars(value, vehicles) }))}
          value={engine ?? null}
          onChange={(value) => onChange({ engine: value ?? undefined })}
        />
      )}
    </>
  );
}

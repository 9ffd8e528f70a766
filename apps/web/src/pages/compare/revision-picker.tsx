import { Button, Select } from '@mantine/core';
import type { CalibrationResponse } from '@syncline/contract';
import { FilterBar } from '../../parts/filter-bar.js';
import { SEARCH_FIELD } from '../../shell/use-shell-keys.js';
import { revisionLabel } from '../revision/revision-label.js';
import classes from './compare.module.css';
import type { CompareSearch } from './compare-search.js';
import { useCompareView } from './use-compare-view.js';

/** Both revisions, to be chosen and swapped on the page that compares them. */
export function RevisionPicker({ calibrations }: { readonly calibrations: readonly CalibrationResponse[] }) {
  const { search, change } = useCompareView();
  const data = calibrations
    .filter(({ revisions }) => revisions.length > 0)
    .map(({ title, revisions }) => ({
      group: title,
      items: [...revisions]
        .sort((a, b) => b.number - a.number)
        .map((revision) => ({ value: revision.id, label: `${revisionLabel(revision)}: ${revision.message}` })),
    }));
  const pick = (part: Partial<CompareSearch>) => change({ ...part, row: undefined, column: undefined }, false);
  const common = {
    data,
    searchable: true,
    allowDeselect: false,
    placeholder: 'Choose a revision',
    maxDropdownHeight: 420,
  } as const;
  return (
    <FilterBar>
      <div className={classes.pick}>
        <Select
          {...common}
          {...SEARCH_FIELD}
          label="Base"
          value={search.base ?? null}
          onChange={(base) => pick({ base: base ?? undefined })}
        />
      </div>
      <Button
        variant="default"
        disabled={search.base === undefined && search.other === undefined}
        onClick={() => pick({ base: search.other, other: search.base })}
      >
        Swap
      </Button>
      <div className={classes.pick}>
        <Select
          {...common}
          label="Compared with it"
          value={search.other ?? null}
          onChange={(other) => pick({ other: other ?? undefined })}
        />
      </div>
    </FilterBar>
  );
}

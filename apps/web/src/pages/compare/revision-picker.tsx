import { Button } from '@mantine/core';
import type { CalibrationResponse, DraftSummary } from '@syncline/contract';
import { FilterBar } from '../../parts/filter-bar.js';
import { LateSelect } from '../../parts/late-select.js';
import { SEARCH_FIELD } from '../../shell/use-shell-keys.js';
import classes from './compare.module.css';
import type { CompareSearch } from './compare-search.js';
import { draftKey, labelOf } from './compared-content.js';
import { useCompareView } from './use-compare-view.js';

interface RevisionPickerProps {
  /** Undefined while they are on their way: nothing can be chosen yet. */
  readonly calibrations: readonly CalibrationResponse[] | undefined;
  readonly drafts: readonly DraftSummary[];
}

/** Both revisions, to be chosen and swapped on the page that compares them. */
export function RevisionPicker({ calibrations, drafts }: RevisionPickerProps) {
  const { search, change } = useCompareView();
  const data = (calibrations ?? [])
    .map(({ id, title, revisions }) => ({
      group: title,
      items: [
        ...drafts
          .filter(({ calibrationId }) => calibrationId === id)
          .map((draft) => ({ value: draftKey(draft.id), label: labelOf(draft) })),
        ...[...revisions]
          .sort((a, b) => b.number - a.number)
          .map((revision) => ({ value: revision.id, label: `${labelOf(revision)}: ${revision.message}` })),
      ],
    }))
    .filter(({ items }) => items.length > 0);
  const pick = (part: Partial<CompareSearch>) => change({ ...part, row: undefined, column: undefined }, false);
  const common = {
    data,
    searchable: true,
    allowDeselect: false,
    disabled: calibrations === undefined,
    placeholder: calibrations === undefined ? '…' : 'Choose a revision or draft',
    maxDropdownHeight: 420,
  } as const;
  return (
    <FilterBar>
      <div className={classes.pick}>
        <LateSelect
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
        <LateSelect
          {...common}
          label="Compared with it"
          value={search.other ?? null}
          onChange={(other) => pick({ other: other ?? undefined })}
        />
      </div>
    </FilterBar>
  );
}

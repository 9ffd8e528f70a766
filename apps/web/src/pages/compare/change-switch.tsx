import { SegmentedControl } from '@mantine/core';
import type { ChangeKind } from './compare-search.js';
import { useCompareView } from './use-compare-view.js';

/** Whether differences are shown in the unit of the table or as a share of the base; one choice for the whole page. */
export function ChangeSwitch({ unit }: { readonly unit: string }) {
  const { search, change } = useCompareView();
  return (
    <SegmentedControl
      size="xs"
      aria-label="How differences are shown"
      data={[
        { value: 'absolute', label: unit === '' ? 'Absolute' : `In ${unit}` },
        { value: 'percent', label: 'In % of base' },
      ]}
      value={search.change ?? 'absolute'}
      onChange={(value) => change({ change: value as ChangeKind })}
    />
  );
}

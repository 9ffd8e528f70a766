import { Group, Input, NumberInput } from '@mantine/core';
import { useDebouncedCallback } from '@mantine/hooks';
import { useState } from 'react';

const TYPING_PAUSE_MS = 500;

interface RangeFilterProps {
  readonly label: string;
  readonly unit: string;
  readonly min: number | undefined;
  readonly max: number | undefined;
  readonly onChange: (range: { min: number | undefined; max: number | undefined }) => void;
}

/** From and to of one quantity; the address follows when typing pauses. */
export function RangeFilter({ label, unit, min, max, onChange }: RangeFilterProps) {
  const [draft, setDraft] = useState({ min, max });
  // The address may change by other means than typing here: “back”, or clearing all filters.
  const [address, setAddress] = useState({ min, max });
  if (address.min !== min || address.max !== max) {
    setAddress({ min, max });
    setDraft({ min, max });
  }
  const settle = useDebouncedCallback(onChange, TYPING_PAUSE_MS);
  const set = (end: 'min' | 'max', value: string | number) => {
    const next = { ...draft, [end]: value === '' ? undefined : Number(value) };
    setDraft(next);
    settle(next);
  };
  return (
    <Input.Wrapper label={`${label} (${unit})`} labelElement="div">
      <Group gap={6} wrap="nowrap">
        <NumberInput
          aria-label={`${label} from, ${unit}`}
          placeholder="from"
          hideControls
          value={draft.min ?? ''}
          onChange={(value) => set('min', value)}
        />
        <NumberInput
          aria-label={`${label} below, ${unit}`}
          placeholder="below"
          hideControls
          value={draft.max ?? ''}
          onChange={(value) => set('max', value)}
        />
      </Group>
    </Input.Wrapper>
  );
}

import { getOptionsLockup, getParsedComboboxData, Input, InputBase, Select, type SelectProps } from '@mantine/core';
import { useOncePainted } from './use-once-painted.js';

/** A choice that looks like one until the page is on the screen, and then is one: its list costs as much as many rows. */
export function LateSelect(props: SelectProps) {
  return useOncePainted() ? <Select {...props} /> : <LookAlike {...props} />;
}

const ONE_LINE = { input: { overflow: 'hidden', textOverflow: 'ellipsis', whiteSpace: 'nowrap' } } as const;

function LookAlike({ label, size, w, data, value, placeholder, disabled }: SelectProps) {
  const chosen = getOptionsLockup(getParsedComboboxData(data))[value ?? '']?.label;
  return (
    <InputBase component="div" label={label} size={size} w={w} disabled={disabled} styles={ONE_LINE}>
      {chosen ?? <Input.Placeholder>{placeholder}</Input.Placeholder>}
    </InputBase>
  );
}

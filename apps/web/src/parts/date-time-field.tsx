import { TextInput } from '@mantine/core';
import { zoneName } from '../format/time.js';

interface DateTimeFieldProps {
  readonly label: string;
  /** As a `datetime-local` input holds it, in the zone of this computer. */
  readonly value: string;
  readonly onChange: (value: string) => void;
}

/** A moment to the minute; the zone stands in the label. */
export function DateTimeField({ label, value, onChange }: DateTimeFieldProps) {
  return (
    <TextInput
      type="datetime-local"
      label={`${label} (${zoneName()})`}
      value={value}
      onChange={(event) => onChange(event.currentTarget.value)}
    />
  );
}

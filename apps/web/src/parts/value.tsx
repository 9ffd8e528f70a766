import { formatQuantity, fullValue } from '../format/quantity.js';

interface ValueProps {
  readonly value: number | null | undefined;
  /** Unit as written on the page; empty for plain counts. */
  readonly unit: string;
  /** Digits after the point; by default those that suit the unit. */
  readonly digits?: number;
}

/** A number with its unit, rounded to what can be acted on. Hover gives every digit. */
export function Value({ value, unit, digits }: ValueProps) {
  return (
    <span style={{ whiteSpace: 'nowrap' }} title={fullValue(value, unit)}>
      {formatQuantity(value, unit, digits)}
    </span>
  );
}

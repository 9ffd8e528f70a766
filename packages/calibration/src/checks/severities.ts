import type { Severity, TableSpec, ValueCheck } from '../layout/layout.js';

/**
 * What each check of values does where a layout does not say. Warnings are what a skilled person may want for once:
 * rounding to a storage step, a bold step from the parent, a schedule that hunts. The rest can hurt gearbox or car.
 */
export const DEFAULT_SEVERITIES: Readonly<Record<ValueCheck, Severity>> = {
  belowMinimum: 'blocking',
  aboveMaximum: 'blocking',
  notMonotone: 'blocking',
  tooSteep: 'blocking',
  storageLoss: 'warning',
  notReachable: 'blocking',
  stepTooLarge: 'warning',
  scheduleCrossing: 'blocking',
  scheduleHunting: 'warning',
  engineTooSlow: 'blocking',
  engineTooFast: 'blocking',
};

/** What a finding of that check does in this table. */
export function severityOf(spec: Pick<TableSpec, 'severities'>, check: ValueCheck): Severity {
  return spec.severities?.[check] ?? DEFAULT_SEVERITIES[check];
}

/** Whether the word names a check whose severity a layout may choose. */
export function isValueCheck(word: string): word is ValueCheck {
  return Object.hasOwn(DEFAULT_SEVERITIES, word);
}

import type { Rate } from '@syncline/contract';
import { counted, formatCount, formatNumber } from './quantity.js';

/** A share as per cent: one digit below ten per cent, none above. */
export function formatShare(share: number): string {
  const percent = share * 100;
  return `${formatNumber(percent, Math.abs(percent) < 9.95 ? 1 : 0)}\u202f%`;
}

/** Both ends of an interval, for example “8.1 to 22 %”. */
export function formatInterval(low: number, high: number): string {
  return `${formatShare(low).replace('\u202f%', '')} to ${formatShare(high)}`;
}

/** What stands in place of a rate that cannot be told: “too few: 7 of 30 shifts”. */
export function formatTooFew(rate: Extract<Rate, { kind: 'insufficient' }>): string {
  return `too few: ${shortfall(rate)}`;
}

/** The part that is missing, shifts before cars: “7 of 30 shifts” or “1 of 3 cars”. */
export function shortfall(rate: Extract<Rate, { kind: 'insufficient' }>): string {
  return rate.shifts < rate.neededShifts
    ? `${formatCount(rate.shifts)} of ${counted(rate.neededShifts, 'shift')}`
    : `${formatCount(rate.vehicles)} of ${counted(rate.neededVehicles, 'car')}`;
}

/** Counts behind a rate: “12 of 88 shifts in 14 cars”. */
export function formatCounts(rate: Rate): string {
  return `${formatCount(rate.events)} of ${counted(rate.shifts, 'shift')} in ${counted(rate.vehicles, 'car')}`;
}

/** A whole rate in words, for readouts and for readers that do not see the picture. */
export function describeRate(rate: Rate, what: string): string {
  if (rate.kind === 'insufficient') return `${what}: ${formatTooFew(rate)} (${formatCounts(rate)})`;
  return `${what} ${formatShare(rate.rate)}, interval ${formatInterval(rate.low, rate.high)}, ${formatCounts(rate)}`;
}

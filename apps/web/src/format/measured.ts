import { DISTRIBUTED, type OutcomeMeasure, SPREAD_MEASURES, type Spread, type SpreadMeasure } from '@syncline/contract';
import { counted, formatCount, formatQuantity } from './quantity.js';
import { MEASURE_WORDS } from './words.js';

/** A quantity that is measured in every shift. */
export type MeasuredQuantity = (typeof DISTRIBUTED)[number];

/** What the quantities are called and their units. */
export const MEASURED: Record<MeasuredQuantity, { readonly title: string; readonly unit: string }> = {
  flareRpm: { title: 'Flare speed', unit: 'rpm' },
  flareMs: { title: 'Flare time', unit: 'ms' },
  shiftTimeS: { title: 'Shift time', unit: 's' },
  inertiaTimeS: { title: 'Inertia time', unit: 's' },
  delayS: { title: 'Delay', unit: 's' },
  peakJerk: { title: 'Peak jerk', unit: 'm/s³' },
  peakToPeakAcceleration: { title: 'Acceleration, peak to peak', unit: 'm/s²' },
  tieUpDepth: { title: 'Tie-up depth', unit: 'm/s²' },
  slipEnergyJ: { title: 'Slip energy', unit: 'J' },
  demandRatio: { title: 'Demand ratio', unit: '' },
  load: { title: 'Load', unit: '%' },
  inputSpeedRpm: { title: 'Input speed', unit: 'rpm' },
  fluidTemperatureC: { title: 'Fluid temperature', unit: '°C' },
};

/** What the Fleet page can show: the rate of a grade, or how a quantity is spread. */
export type FleetMeasure = OutcomeMeasure | SpreadMeasure;

export function isSpreadMeasure(measure: FleetMeasure): measure is SpreadMeasure {
  return (SPREAD_MEASURES as readonly string[]).includes(measure);
}

/** “Flare”, “Shift time”. */
export function measureWord(measure: FleetMeasure): string {
  return isSpreadMeasure(measure) ? MEASURED[measure].title : MEASURE_WORDS[measure];
}

export function isMeasuredQuantity(name: string): name is MeasuredQuantity {
  return (DISTRIBUTED as readonly string[]).includes(name);
}

/** The grade that a large value of the quantity leads to, where only rates are known. */
export const RATE_BESIDE: Record<SpreadMeasure, OutcomeMeasure> = {
  flareRpm: 'flare',
  shiftTimeS: 'slow',
  inertiaTimeS: 'slow',
  delayS: 'slow',
  peakJerk: 'harsh',
  tieUpDepth: 'tie-up',
  slipEnergyJ: 'slow',
};

type TooFew = Extract<Spread, { kind: 'insufficient' }>;

/** The part of the evidence that is missing, shifts before cars, as with a rate. */
export function spreadShortfall({ shifts, vehicles, neededShifts, neededVehicles }: TooFew): string {
  return shifts < neededShifts
    ? `${formatCount(shifts)} of ${counted(neededShifts, 'shift')}`
    : `${formatCount(vehicles)} of ${counted(neededVehicles, 'car')}`;
}

/** Both ends between which nine shifts in ten lie: “0.31–0.66 s”. */
export function formatMost({ p05, p95 }: { readonly p05: number; readonly p95: number }, unit: string): string {
  const low = formatQuantity(p05, unit).replace(/\u202f\D*$/, '');
  return `${low}–${formatQuantity(p95, unit)}`;
}

/** A whole spread in words, for readouts and for readers that do not see the picture. */
export function describeSpread(spread: Spread, unit: string, what: string): string {
  const evidence = `${counted(spread.shifts, 'shift')} in ${counted(spread.vehicles, 'car')}`;
  if (spread.kind === 'insufficient') return `${what}: too few: ${spreadShortfall(spread)} (${evidence})`;
  const half = `half of the shifts below ${formatQuantity(spread.p50, unit)}`;
  return `${what}: ${half}, nine in ten within ${formatMost(spread, unit)}, mean ${formatQuantity(spread.mean, unit)}, ${evidence}`;
}

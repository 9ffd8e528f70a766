import type { Band, DrivingWish } from '@syncline/contract';
import { kindWords, timesWords } from '../../format/gear-words.js';
import { counted, formatCount } from '../../format/quantity.js';

/** What to drive, as one would say it to a friend: “third to fourth at about half load with warm fluid, twelve times”. */
export function wishWords(wish: DrivingWish): string {
  return `${pointWords(wish)}, ${timesWords(wish.ask)}`;
}

/** An operating point in words, without how often. */
export function pointWords(point: Pick<DrivingWish, 'from' | 'to' | 'load' | 'fluidTemperature'>): string {
  return `${kindWords(point)} at ${loadWords(point.load)} with ${fluidWords(point.fluidTemperature)}`;
}

/** The same in figures, with what is there already. */
export function wishFigures(wish: DrivingWish, neededShifts: number): string {
  const there = `${formatCount(wish.shifts)} of ${counted(neededShifts, 'shift')} in ${counted(wish.vehicles, 'car')}`;
  const own = wish.ownShifts === 0 ? 'none of this car' : `${formatCount(wish.ownShifts)} of this car`;
  return `load ${wish.load.label}, fluid ${wish.fluidTemperature.label}; so far ${there}, ${own}`;
}

/** Upper ends of what a share of full load is called (%), and of what a fluid temperature is called (°C). */
const LOADS = [
  [15, 'hardly any load'],
  [30, 'light load'],
  [42, 'about a third of full load'],
  [58, 'about half load'],
  [72, 'about two thirds of full load'],
] as const;
const FLUIDS = [
  [20, 'cold fluid'],
  [50, 'cool fluid'],
  [80, 'warm fluid'],
  [100, 'hot fluid'],
] as const;

function loadWords(band: Band): string {
  return wordFor(middleOf(band), LOADS, 'heavy load');
}

function fluidWords(band: Band): string {
  return wordFor(middleOf(band), FLUIDS, 'very hot fluid');
}

function wordFor(value: number, words: readonly (readonly [number, string])[], above: string): string {
  return words.find(([upper]) => value < upper)?.[1] ?? above;
}

/** Of an open band a value within it. */
function middleOf({ low, high }: Band): number {
  if (low === null) return (high ?? 0) - 1;
  return high === null ? low + 1 : (low + high) / 2;
}

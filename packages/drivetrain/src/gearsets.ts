import type { Gearset } from './gearset.js';

/**
 * Six speeds from a simple set in front of a set with two suns (the arrangement of US patent 5,106,352; own tooth
 * counts). The front carrier turns at 70/104 of the input and drives either sun; the input drives the rear carrier.
 */
export const SIX_SPEED_GEARSET: Gearset = {
  input: 'input',
  output: 'output',
  held: ['frontSun'],
  sets: [
    { sun: 'frontSun', ring: 'input', carrier: 'reduced', sunTeeth: 34, ringTeeth: 70, planets: 'single' },
    { sun: 'smallSun', ring: 'output', carrier: 'rearCarrier', sunTeeth: 30, ringTeeth: 84, planets: 'double' },
    { sun: 'largeSun', ring: 'output', carrier: 'rearCarrier', sunTeeth: 36, ringTeeth: 84, planets: 'single' },
  ],
  clutches: [
    { id: 'A', joins: ['reduced', 'smallSun'] },
    { id: 'B', joins: ['reduced', 'largeSun'] },
    { id: 'C', joins: ['largeSun'] },
    { id: 'D', joins: ['rearCarrier'] },
    { id: 'E', joins: ['input', 'rearCarrier'] },
  ],
};

/** Application chart of the six speeds, gear 1 first. */
export const SIX_SPEED_CHART = [
  ['A', 'D'],
  ['A', 'C'],
  ['A', 'B'],
  ['A', 'E'],
  ['B', 'E'],
  ['C', 'E'],
] as const;

/** Five speeds from the same arrangement, the large sun driven by the input instead of the reduced speed. */
export const FIVE_SPEED_GEARSET: Gearset = {
  input: 'input',
  output: 'output',
  held: ['frontSun'],
  sets: [
    { sun: 'frontSun', ring: 'input', carrier: 'reduced', sunTeeth: 30, ringTeeth: 78, planets: 'single' },
    { sun: 'smallSun', ring: 'output', carrier: 'rearCarrier', sunTeeth: 30, ringTeeth: 78, planets: 'double' },
    { sun: 'largeSun', ring: 'output', carrier: 'rearCarrier', sunTeeth: 36, ringTeeth: 78, planets: 'single' },
  ],
  clutches: [
    { id: 'A', joins: ['reduced', 'smallSun'] },
    { id: 'B', joins: ['input', 'largeSun'] },
    { id: 'C', joins: ['largeSun'] },
    { id: 'D', joins: ['rearCarrier'] },
    { id: 'E', joins: ['input', 'rearCarrier'] },
  ],
};

/** Application chart of the five speeds; the fourth is direct. */
export const FIVE_SPEED_CHART = [
  ['A', 'D'],
  ['A', 'C'],
  ['A', 'B'],
  ['B', 'E'],
  ['C', 'E'],
] as const;

/**
 * Eight speeds: a front set with double planets turns its ring at 1 − 42/96 of the input; the large sun can be driven
 * by it, by the input, or held.
 */
export const EIGHT_SPEED_GEARSET: Gearset = {
  input: 'input',
  output: 'output',
  held: ['frontSun'],
  sets: [
    { sun: 'frontSun', ring: 'reduced', carrier: 'input', sunTeeth: 42, ringTeeth: 96, planets: 'double' },
    { sun: 'smallSun', ring: 'output', carrier: 'rearCarrier', sunTeeth: 33, ringTeeth: 87, planets: 'double' },
    { sun: 'largeSun', ring: 'output', carrier: 'rearCarrier', sunTeeth: 39, ringTeeth: 87, planets: 'single' },
  ],
  clutches: [
    { id: 'A', joins: ['reduced', 'smallSun'] },
    { id: 'B', joins: ['reduced', 'largeSun'] },
    { id: 'C', joins: ['largeSun'] },
    { id: 'D', joins: ['rearCarrier'] },
    { id: 'E', joins: ['input', 'rearCarrier'] },
    { id: 'F', joins: ['input', 'largeSun'] },
  ],
};

/** Application chart of the eight speeds, gear 1 first. */
export const EIGHT_SPEED_CHART = [
  ['A', 'D'],
  ['A', 'C'],
  ['A', 'B'],
  ['A', 'F'],
  ['A', 'E'],
  ['F', 'E'],
  ['B', 'E'],
  ['C', 'E'],
] as const;

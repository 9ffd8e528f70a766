import { makeRandom, type Random } from './random.js';
import type { Route } from './route.js';

export type RouteKind = 'town' | 'country' | 'hill' | 'mixed';

/** Ranges from which the legs of a route are drawn. */
interface Landscape {
  readonly cruiseKmh: readonly [number, number];
  readonly cruiseS: readonly [number, number];
  /** Share of legs that end at a standstill. */
  readonly stopShare: number;
  readonly acceleration: readonly [number, number];
  readonly braking: readonly [number, number];
  readonly grade: number;
  /** Share of legs with a sudden wish for more speed on the way. */
  readonly dashShare: number;
}

const LANDSCAPES: Readonly<Record<Exclude<RouteKind, 'mixed'>, Landscape>> = {
  town: {
    cruiseKmh: [22, 58],
    cruiseS: [3, 14],
    stopShare: 0.6,
    acceleration: [0.7, 2.4],
    braking: [0.9, 2],
    grade: 0.02,
    dashShare: 0.2,
  },
  country: {
    cruiseKmh: [55, 100],
    cruiseS: [6, 22],
    stopShare: 0.2,
    acceleration: [0.6, 2],
    braking: [0.7, 1.8],
    grade: 0.035,
    dashShare: 0.45,
  },
  hill: {
    cruiseKmh: [35, 75],
    cruiseS: [5, 18],
    stopShare: 0.15,
    acceleration: [0.6, 1.9],
    braking: [0.7, 1.8],
    grade: 0.09,
    dashShare: 0.4,
  },
};

const STEP_S = 0.5;

/**
 * A route of legs drawn at random: speed up to a cruising speed, keep it with small changes (sometimes a dash, such as
 * overtaking), slow down to the next speed or a stop. `mixed` changes landscape every minute or two. Starts and ends at a
 * standstill. `briskness` scales accelerations: 1 is usual, 0.7 gentle, 1.4 sporting.
 */
export function randomRoute(kind: RouteKind, durationS: number, seed: string | number, briskness = 1): Route {
  const random = makeRandom(`route:${kind}:${seed}`);
  const speed: number[] = [];
  const grade: number[] = [];
  const count = Math.floor(durationS / STEP_S) + 1;
  append(speed, 0, random.between(2, 5));
  let landscapeEndS = 0;
  let landscape = LANDSCAPES.town;
  while (speed.length < count) {
    if (speed.length * STEP_S >= landscapeEndS) {
      landscape = LANDSCAPES[kind === 'mixed' ? random.pick(['town', 'country', 'hill'] as const) : kind];
      landscapeEndS = speed.length * STEP_S + random.between(60, 120);
    }
    appendLeg(speed, landscape, random, briskness);
    appendGrade(grade, speed.length, landscape.grade, random);
  }
  endAtStandstill(speed, count);
  return {
    stepS: STEP_S,
    speed: Float64Array.from(speed.slice(0, count)),
    grade: Float64Array.from(grade.slice(0, count)),
  };
}

function appendLeg(speed: number[], landscape: Landscape, random: Random, briskness: number): void {
  const cruise = random.between(...landscape.cruiseKmh) / 3.6;
  rampTo(speed, cruise, briskness * random.between(...landscape.acceleration));
  const isDash = random.uniform() < landscape.dashShare;
  append(speed, cruise, random.between(...landscape.cruiseS));
  if (isDash) {
    rampTo(speed, cruise * random.between(1.25, 1.6), briskness * random.between(2, 3.5));
    append(speed, speed[speed.length - 1], random.between(1, 4));
  } else {
    rampTo(speed, cruise * random.between(0.75, 1.2), random.between(0.3, 0.8));
  }
  const isStop = random.uniform() < landscape.stopShare;
  const next = isStop ? 0 : (random.between(0.3, 0.8) * random.between(...landscape.cruiseKmh)) / 3.6;
  rampTo(speed, next, random.between(...landscape.braking));
  if (isStop) append(speed, 0, random.between(2, 7));
}

function append(speed: number[], value: number, durationS: number): void {
  for (let i = 0; i < durationS / STEP_S; i++) speed.push(value);
}

/** Goes to a speed at a rate (m/s²), ever more gently over the second half of the way, as drivers do. */
function rampTo(speed: number[], target: number, rate: number): void {
  let value = speed[speed.length - 1];
  const whole = Math.abs(target - value);
  while (Math.abs(target - value) > 1e-9) {
    const left = Math.abs(target - value);
    const step = Math.min(left, STEP_S * rate * Math.min(1, Math.max(0.2, left / (0.5 * whole))));
    value += Math.sign(target - value) * step;
    speed.push(value);
  }
}

function appendGrade(grade: number[], length: number, range: number, random: Random): void {
  let value = grade[grade.length - 1] ?? 0;
  const target = random.between(-range, range);
  while (grade.length < length) {
    value += Math.sign(target - value) * Math.min(Math.abs(target - value), 0.004 * STEP_S);
    grade.push(value);
  }
}

function endAtStandstill(speed: number[], count: number): void {
  const rate = 1.4;
  for (let i = 0; i < count; i++) speed[i] = Math.min(speed[i], rate * STEP_S * Math.max(0, count - 5 - i));
}

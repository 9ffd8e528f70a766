import { axisPosition, type ShiftKind } from '@syncline/calibration';
import {
  type BenchPoint,
  type Car,
  type DriveSetup,
  type Gearbox,
  makeRandom,
  type Random,
  randomRoute,
} from '@syncline/drivetrain';
import { type Gearset, PROGRAM } from './loop-setting.ts';

/** Speeds (rpm) between which the input is asked to be before an upshift; after a shift it must keep within these too. */
const LOWEST_INPUT_RPM = 1000;
const HIGHEST_INPUT_RPM = 3700;
const LOWEST_AFTER_RPM = 850;
const HIGHEST_AFTER_RPM = 3900;
/** A downshift under power is asked for only into speeds at which the engine still pulls. */
const HIGHEST_AFTER_DOWN_RPM = 3100;
/** Least load (%): an upshift is made from hardly any, a downshift under power only from where it is made as one. */
const LEAST_LOAD_UP = 1;
const LEAST_LOAD_DOWN = 18;
const MOST_LOAD = 105;
const COLD_SHARE = 0.35;
/** Requests drawn for each one that is taken. */
const CANDIDATES = 6;
/** Most shifts a minute come of a short drive; the first minute goes by while pulling away. */
const ORDINARY_DRIVE_S = 120;

/** Shifts between neighbouring gears under power, where the pressure map says how long they take. */
export function plannedKinds({ platform }: Gearbox): ShiftKind[] {
  return platform.shifts.filter(({ from, to }) => Math.abs(from - to) === 1 && to !== 1);
}

/**
 * Shifts to ask testers for, so that every place of the pressure table that can be reached gets about as many: of some
 * drawn at random, each time the one is taken whose nodes have been asked for least. A third of them cold. More load than
 * the engine has at a speed becomes what it has.
 */
export function planRequests(gearset: Gearset, seed: string, count: number): BenchPoint[] {
  const random = makeRandom(`requests:${seed}`);
  const asked = new Map<string, number>();
  return Array.from({ length: count }, () => {
    const candidates = Array.from({ length: CANDIDATES }, () => drawPoint(gearset, random));
    const needs = candidates.map((point) =>
      sharesOf(gearset, point).reduce((sum, { node, share }) => sum + share / (1 + (asked.get(node) ?? 0)), 0),
    );
    const chosen = candidates[needs.indexOf(Math.max(...needs))];
    for (const { node, share } of sharesOf(gearset, chosen)) asked.set(node, (asked.get(node) ?? 0) + share);
    return chosen;
  });
}

function drawPoint({ gearbox }: Gearset, random: Random): BenchPoint {
  const { from, to, id } = random.pick(plannedKinds(gearbox));
  const step = ratioOf(gearbox, to) / ratioOf(gearbox, from);
  const lowestRpm = Math.max(LOWEST_INPUT_RPM, LOWEST_AFTER_RPM / step);
  const highestRpm = Math.min(HIGHEST_INPUT_RPM, (to > from ? HIGHEST_AFTER_RPM : HIGHEST_AFTER_DOWN_RPM) / step);
  return {
    shift: id,
    program: PROGRAM,
    load: random.between(to > from ? LEAST_LOAD_UP : LEAST_LOAD_DOWN, MOST_LOAD),
    outputSpeedRpm: random.between(lowestRpm, highestRpm) / ratioOf(gearbox, from),
    fluidTemperatureC: random.uniform() < COLD_SHARE ? random.between(-10, 60) : random.between(60, 112),
  };
}

/** How a request shares out over the nodes of the pressure table. */
function sharesOf({ gearbox, matched }: Gearset, point: BenchPoint): { node: string; share: number }[] {
  const [loads = [], speeds = []] = matched.tables.basePressure.axes;
  const inputRpm = point.outputSpeedRpm * ratioOf(gearbox, Number(point.shift.split('-')[0]));
  return neighbours(loads, point.load).flatMap((row) =>
    neighbours(speeds, inputRpm).map((column) => ({
      node: `${point.shift}/${row.index}/${column.index}`,
      share: row.share * column.share,
    })),
  );
}

function neighbours(breakpoints: readonly number[], x: number): { index: number; share: number }[] {
  const { index, fraction } = axisPosition(breakpoints, x);
  return [
    { index, share: 1 - fraction },
    { index: Math.min(index + 1, breakpoints.length - 1), share: fraction },
  ];
}

/** A drive as testers make them, warm or cold. */
export function ordinaryDrive(
  { gearbox, layout }: Gearset,
  content: DriveSetup['content'],
  car: Car,
  seed: string,
): DriveSetup & { readonly seed: string } {
  const random = makeRandom(`ordinary drive:${seed}`);
  const ambientC = random.between(-5, 25);
  return {
    gearbox,
    layout,
    content,
    car,
    program: PROGRAM,
    route: randomRoute(
      random.pick(['town', 'country', 'hill', 'mixed']),
      ORDINARY_DRIVE_S,
      seed,
      random.between(0.8, 1.6),
    ),
    startTemperatureC: random.uniform() < COLD_SHARE ? ambientC : random.between(55, 105),
    ambientC,
    seed,
  };
}

function ratioOf({ platform }: Gearbox, gear: number): number {
  return platform.gears[gear - 1].ratio;
}

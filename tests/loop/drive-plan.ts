import type { ShiftKind } from '@syncline/calibration';
import { type BenchPoint, type Car, type DriveSetup, type Gearbox, makeRandom, type Random, randomRoute } from '@syncline/drivetrain';
import { type Gearset, PROGRAM } from './loop-setting.ts';

/** Speeds (rpm) between which the input is asked to be before an upshift; after a shift it must keep within these too. */
const LOWEST_INPUT_RPM = 1000;
const HIGHEST_INPUT_RPM = 3700;
const LOWEST_AFTER_RPM = 850;
const HIGHEST_AFTER_RPM = 3900;
/** Least load (%): an upshift is made from hardly any, a downshift under power only from where it is made as one. */
const LEAST_LOAD_UP = 1;
const LEAST_LOAD_DOWN = 18;
const MOST_LOAD = 105;
const COLD_SHARE = 0.35;
/** Most shifts a minute come of a short drive; the first minute goes by while pulling away. */
const ORDINARY_DRIVE_S = 120;

/** Shifts between neighbouring gears under power, where the pressure map says how long they take. */
export function plannedKinds({ platform }: Gearbox): ShiftKind[] {
  return platform.shifts.filter(({ from, to }) => Math.abs(from - to) === 1 && to !== 1);
}

/**
 * A shift to ask a tester for: any kind, evenly over the cells of the pressure table, a third of them cold. More load than
 * the engine has at a speed becomes what it has.
 */
export function drawPoint({ gearbox, matched }: Gearset, random: Random): BenchPoint {
  const { from, to, id } = random.pick(plannedKinds(gearbox));
  const step = ratioOf(gearbox, to) / ratioOf(gearbox, from);
  const isUp = to > from;
  const input = {
    low: Math.max(LOWEST_INPUT_RPM, LOWEST_AFTER_RPM / step),
    high: Math.min(HIGHEST_INPUT_RPM, HIGHEST_AFTER_RPM / step),
  };
  const [loads = [], speeds = []] = matched.tables.basePressure.axes;
  const load = drawNear(random, loads, isUp ? LEAST_LOAD_UP : LEAST_LOAD_DOWN, MOST_LOAD);
  const inputRpm = drawNear(random, speeds, input.low, input.high);
  return {
    shift: id,
    program: PROGRAM,
    load,
    outputSpeedRpm: inputRpm / ratioOf(gearbox, from),
    fluidTemperatureC: random.uniform() < COLD_SHARE ? random.between(-10, 60) : random.between(60, 112),
  };
}

/** A place between two bounds that lies near each break point as often as near any other. */
function drawNear(random: Random, breakpoints: readonly number[], low: number, high: number): number {
  const x = random.between(-0.5, breakpoints.length - 0.5);
  const index = Math.min(breakpoints.length - 2, Math.max(0, Math.floor(x)));
  const value = breakpoints[index] + (x - index) * (breakpoints[index + 1] - breakpoints[index]);
  return value >= low && value <= high ? value : drawNear(random, breakpoints, low, high);
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
    route: randomRoute(random.pick(['town', 'country', 'hill', 'mixed']), ORDINARY_DRIVE_S, seed, random.between(0.8, 1.6)),
    startTemperatureC: random.uniform() < COLD_SHARE ? ambientC : random.between(55, 105),
    ambientC,
    seed,
  };
}

function ratioOf({ platform }: Gearbox, gear: number): number {
  return platform.gears[gear - 1].ratio;
}

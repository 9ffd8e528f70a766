import { evaluateRule, type OperatingPoint, type RevisionContent } from '@syncline/calibration';
import { type BenchPoint, type Car, idealPressureFactor, ShiftBench } from '@syncline/drivetrain';
import {
  designRows,
  estimateCorrections,
  NO_SHIFTS,
  nodeDesign,
  type ShiftObservation,
  shiftMomentsOf,
} from '@syncline/fleet';
import { planRequests } from './drive-plan.ts';
import { BENCH_STEP_S, type Gearset, RULE } from './loop-setting.ts';

/** Places at which the ideal pressure is sought. */
const PLACES = 1800;
/** Fits from nearer and nearer: rows of the design hold to first order. */
const FITS = 2;
/** The estimator wants to see several cars. */
const GROUPS = 8;

/** A place and the pressure with which a shift of the average car takes its target time there. */
interface IdealPoint {
  readonly shift: string;
  readonly point: OperatingPoint;
  readonly pressureKpa: number;
}

/**
 * Seeks, in the simulator itself and without noise, the pressure at which the average car meets its target time, at places
 * planned as the fleet's requested shifts are, and fits the layout's tables to it: the map that the poor one is made of.
 */
export function findBestMap(gearset: Gearset, average: Car): RevisionContent {
  const { gearbox, layout, matched } = gearset;
  const bench = new ShiftBench({ gearbox, layout, content: matched, stepS: BENCH_STEP_S });
  const places = planRequests(gearset, 'ideal', PLACES).map((request) => idealPoint(gearset, bench, average, request));
  return fitTables(
    gearset,
    places.filter((place) => place !== null),
  );
}

function idealPoint({ layout, matched }: Gearset, bench: ShiftBench, car: Car, place: BenchPoint): IdealPoint | null {
  const factor = idealPressureFactor(bench, car, place);
  const shift = factor === null ? null : bench.makeShift(car, place, factor);
  if (factor === null || shift === null) return null;
  const point = {
    shift: place.shift,
    program: place.program,
    load: shift.at.load,
    inputSpeed: shift.at.inputSpeedRpm,
    engineSpeed: shift.at.engineSpeedRpm,
    fluidTemperature: shift.at.fluidTemperatureC,
  };
  return { shift: place.shift, point, pressureKpa: factor * evaluateRule(layout, matched, RULE, point).value };
}

/** Least squares of ln pressure over the tables, with all the correction made at once. */
function fitTables({ layout, matched }: Gearset, places: readonly IdealPoint[]): RevisionContent {
  let content = matched;
  for (let fit = 0; fit < FITS; fit++) {
    const design = nodeDesign(layout, content, RULE);
    const rowAt = designRows(design);
    const observed = places.flatMap(({ shift, point, pressureKpa }): ShiftObservation[] => {
      const row = rowAt(point);
      if (row.kind === 'insufficient') return [];
      const y = row.gain * Math.log(pressureKpa / evaluateRule(layout, content, RULE, point).value);
      return [{ shiftKind: shift, row, y, weight: 1, counts: { ...NO_SHIFTS, shifts: 1 } }];
    });
    const groups = Array.from({ length: GROUPS }, (_, g) => observed.filter((_one, i) => i % GROUPS === g));
    const moments = new Map(groups.map((group, g) => [`group ${g}`, shiftMomentsOf(group)]));
    const estimate = estimateCorrections(design, moments);
    if (estimate.kind === 'insufficient') throw new Error('No place has an ideal pressure.');
    const tables = { ...content.tables };
    for (const { spec, variant, values, start } of design.spans) {
      const table = tables[spec.id];
      const corrected = values.map((value, i) => value * Math.exp(estimate.correctionLn[start + i]));
      tables[spec.id] = { ...table, values: { ...table.values, [variant]: corrected } };
    }
    content = { ...content, tables };
  }
  return content;
}

import type { Layout, RevisionContent } from '@syncline/calibration';
import {
  decodeShiftMoments,
  decodeShiftRows,
  encodeShiftMoments,
  encodeShiftRows,
  estimateCorrections,
  mergeShiftMoments,
  NO_SHIFTS,
  nodeDesign,
  oddCars,
  proposeCorrections,
  robustCorrections,
  type ShiftMoments,
  type ShiftObservation,
  shiftMomentsOf,
  shiftRowsOf,
} from '../src/index.js';
import { seededUniform, type UniformSource } from '../src/special/seeded-random.js';
import { assert, measure, SEED } from './measure.js';

const LOAD = [0, 8, 16, 25, 35, 45, 55, 70, 85, 100];
const INPUT = [900, 1200, 1500, 1900, 2300, 2700, 3100, 3500];
const ENGINE = [800, 1200, 1600, 2400, 3600];
const TEMPERATURE = [-20, 0, 20, 40, 60, 90, 115];
const KINDS = ['1-2', '2-3', '3-4', '4-5', '5-6', '2-1', '3-2', '4-3', '5-4', '6-5', '6-4', '5-3'];
const BASE = LOAD.length * INPUT.length;

/** 12 kinds of shift with 80 base nodes each, and two factors that they share: 972 nodes. */
const DESIGN = nodeDesign(layout(), content(), 'apply');

/**
 * Proposal and running moments of a fleet; the claim is 3 s for 500 vehicles and a million shifts, and 20 ms a log. Huber's
 * weights come on top: they look at every shift, and solve again from where the solve before ended.
 */
export function corrections(vehicles: number, shiftsEach: number): void {
  const uniform = seededUniform(SEED);
  const size = `${vehicles} vehicles, ${vehicles * shiftsEach} shifts, ${DESIGN.nodeCount} nodes`;
  const fleet = new Map<string, ShiftMoments>();
  const rows = new Map<string, Uint8Array>();
  for (let j = 0; j < vehicles; j += 1) {
    const id = `car ${String(j).padStart(4, '0')}`;
    const own = drive(uniform, shiftsEach);
    fleet.set(id, shiftMomentsOf(own));
    rows.set(id, encodeShiftRows(shiftRowsOf(own)));
  }

  const estimate = measure(`estimate, ${size}`, 3, () => estimateCorrections(DESIGN, fleet));
  assert(estimate.kind === 'estimate' && estimate.isConverged);
  assert(Math.abs(estimate.components.vehicleSd / 0.06 - 1) < 0.25);
  const robust = measure(`estimate with Huber's weights, ${size}`, 3, () =>
    robustCorrections(DESIGN, fleet, (id) => [decodeShiftRows(rows.get(id) ?? new Uint8Array())]),
  );
  assert(robust.kind === 'estimate' && robust.farShifts.size > 0);
  const proposal = measure(`propose, ${size}`, 3, () => proposeCorrections(DESIGN, estimate));
  assert(proposal.some(({ change }) => change !== 'leave'));
  measure(`odd cars, ${size}`, 3, () => oddCars(estimate, fleet));

  const [[, own]] = fleet;
  const stored = encodeShiftMoments(own);
  const log = drive(uniform, 300);
  measure(
    `add a log of 300 shifts to ${Math.round(stored.length / 1024)} KiB of moments, reading and writing them`,
    20,
    () => encodeShiftMoments(mergeShiftMoments(decodeShiftMoments(stored), shiftMomentsOf(log))),
  );
}

function drive(uniform: UniformSource, count: number): ShiftObservation[] {
  const normal = () => Math.sqrt(-2 * Math.log(1 - uniform())) * Math.cos(2 * Math.PI * uniform());
  const trim = 0.06 * normal();
  const kindTrims = KINDS.map(() => 0.02 * normal());
  const flare = { ...NO_SHIFTS, shifts: 1, flare: 1 };
  const clean = { ...NO_SHIFTS, shifts: 1 };
  return Array.from({ length: count }, () => {
    const kind = Math.floor(uniform() * KINDS.length);
    const row = rowAt(uniform, kind);
    const mapError = 0.1 * Math.sin(row.nodes[0] / 7);
    const y = mapError + trim + kindTrims[kind] + 0.05 * normal();
    return { shiftKind: KINDS[kind], row, y, weight: 1, counts: y > 0.25 ? flare : clean };
  });
}

/** Bilinear in the base table, linear in both factors: eight nodes, as `designRows` gives them. */
function rowAt(uniform: UniformSource, kind: number) {
  const [i, j] = [Math.floor(uniform() * (LOAD.length - 1)), Math.floor(uniform() * (INPUT.length - 1))];
  const [u, v] = [uniform(), uniform()];
  const first = kind * BASE + i * INPUT.length + j;
  const nodes = [first, first + 1, first + INPUT.length, first + INPUT.length + 1];
  const shares = [(1 - u) * (1 - v), (1 - u) * v, u * (1 - v), u * v];
  for (const [start, count] of [
    [KINDS.length * BASE, ENGINE.length],
    [KINDS.length * BASE + ENGINE.length, TEMPERATURE.length],
  ]) {
    const place = start + Math.floor(uniform() * (count - 1));
    const part = uniform();
    nodes.push(place, place + 1);
    shares.push(1 - part, part);
  }
  return { nodes, shares, gain: 1.3 };
}

function layout(): Layout {
  const axis = (quantity: 'load' | 'inputSpeed' | 'engineSpeed' | 'fluidTemperature', breakpoints: number[]) => ({
    quantity,
    title: quantity,
    unit: '1',
    breakpoints,
    editable: true,
  });
  const factor = (id: string, own: ReturnType<typeof axis>): Layout['tables'][number] => ({
    id,
    title: id,
    quantity: 'factor',
    unit: '1',
    repeat: 'once',
    axes: [own],
    storage: { type: 'u16', resolution: 0.001, offset: 0 },
    limits: { min: 0.7, max: 1.4 },
    monotone: [],
    slopeLimits: [],
    defaultValue: 1,
  });
  const base = {
    ...factor('base', axis('load', LOAD)),
    unit: 'kPa',
    repeat: 'shift' as const,
    axes: [axis('load', LOAD), axis('inputSpeed', INPUT)],
    storage: { type: 'u16' as const, resolution: 1, offset: 0 },
    limits: { min: 60, max: 1400 },
    monotone: [{ axis: 0, direction: 'rising' as const, strict: false }],
    slopeLimits: [{ axis: 0, maxPerUnit: 30 }],
  };
  return {
    platformId: 'bench',
    version: 1,
    title: 'Bench',
    tables: [
      base,
      factor('speed', axis('engineSpeed', ENGINE)),
      factor('temperature', axis('fluidTemperature', TEMPERATURE)),
    ],
    rules: [{ id: 'apply', title: 'Apply', unit: 'kPa', kind: 'product', tables: ['base', 'speed', 'temperature'] }],
  };
}

function content(): RevisionContent {
  const pressures = LOAD.flatMap((load) => INPUT.map((input) => 150 + 6 * load + Math.round(0.01 * input)));
  return {
    platformId: 'bench',
    layoutVersion: 1,
    tables: {
      base: { axes: [LOAD, INPUT], values: Object.fromEntries(KINDS.map((kind) => [kind, pressures])) },
      speed: { axes: [ENGINE], values: { all: ENGINE.map(() => 1) } },
      temperature: { axes: [TEMPERATURE], values: { all: TEMPERATURE.map(() => 1) } },
    },
  };
}

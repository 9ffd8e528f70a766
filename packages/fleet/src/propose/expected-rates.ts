import type { CorrectionEstimate } from '../estimate/estimate-corrections.js';
import type { NodeDesign } from '../estimate/node-design.js';
import { type KindMoments, type ShiftMoments, triangle } from '../estimate/shift-moments.js';
import { normalCritical } from '../special/normal.js';
import { type CountAt, logistic, logisticLine } from './logistic-line.js';
import type { NodeProposal } from './propose-corrections.js';

/** Grades that a change of pressure is expected to move. */
export type PressureGrade = 'flare' | 'tieUp' | 'harsh';

/** A rate before a change, as counted, and after it, as a model expects it. */
export interface ExpectedRate {
  readonly grade: PressureGrade;
  readonly before: number;
  readonly after: number;
  /** Of `after`. */
  readonly low: number;
  readonly high: number;
}

const COUNTS = { flare: 'flares', tieUp: 'tieUps', harsh: 'harsh' } as const;

/**
 * Rates that the fleet should show after a proposal, for the same driving. A model, to be shown as one: the chance of a
 * grade is taken to depend on what is wanted at a place alone (a logistic line over base nodes and vehicles, wanted being
 * the corrections met there plus the car's trim), and the proposal moves that by the corrections made. The interval is that of
 * the line; it does not know what the line leaves out. Empty without shifts.
 */
export function expectedRates(
  design: NodeDesign,
  vehicles: ReadonlyMap<string, ShiftMoments>,
  estimate: CorrectionEstimate,
  proposal: readonly NodeProposal[],
  { confidence = 0.95 } = {},
): ExpectedRate[] {
  const places = drivenPlaces(design, vehicles, estimate, changeOf(design, proposal));
  if (places.length === 0) return [];
  return (['flare', 'tieUp', 'harsh'] as const).map((grade) => expectedRate(places, grade, confidence));
}

/** ln of proposed over present value by node. */
function changeOf(design: NodeDesign, proposal: readonly NodeProposal[]): Float64Array {
  const starts = new Map(design.spans.map(({ spec, variant, start }) => [`${spec.id}/${variant}`, start]));
  const changeLn = new Float64Array(design.nodeCount);
  for (const { tableId, variant, nodeIndex, presentValue, proposedValue, change } of proposal) {
    if (change === 'leave') continue;
    changeLn[(starts.get(`${tableId}/${variant}`) ?? 0) + nodeIndex] = Math.log(proposedValue / presentValue);
  }
  return changeLn;
}

/** One vehicle's shifts over one node of the base table. */
interface DrivenPlace {
  readonly vehicle: number;
  /** ln torque wanted there before and after the change. */
  readonly before: number;
  readonly after: number;
  readonly passes: number;
  readonly flares: number;
  readonly tieUps: number;
  readonly harsh: number;
}

function drivenPlaces(
  design: NodeDesign,
  vehicles: ReadonlyMap<string, ShiftMoments>,
  { correctionLn, trims }: CorrectionEstimate,
  changeLn: Float64Array,
): DrivenPlace[] {
  const isBase = new Uint8Array(design.nodeCount);
  // Of several base tables one is enough: the shares of each add up to every shift once.
  const base = design.spans.find(({ role }) => role === 'base')?.spec;
  for (const { spec, start, values } of design.spans) if (spec === base) isBase.fill(1, start, start + values.length);
  return trims.flatMap(({ vehicleId, byKind }, vehicle) =>
    byKind.flatMap(({ shiftKind, trimLn }) => {
      const own = vehicles.get(vehicleId)?.get(shiftKind);
      if (!own) return [];
      const wanted = timesDesign(own, correctionLn);
      const made = timesDesign(own, changeLn);
      return Array.from(own.nodes.keys())
        .filter((i) => isBase[own.nodes[i]] === 1 && own.design[i] > 0 && own.passes[i] > 0)
        .map((i) => {
          const before = wanted[i] / own.design[i] + trimLn;
          const [passes, flares, tieUps, harsh] = [own.passes[i], own.flares[i], own.tieUps[i], own.harsh[i]];
          return { vehicle, before, after: before - made[i] / own.design[i], passes, flares, tieUps, harsh };
        });
    }),
  );
}

/** Σwx·(xᵀv) by node of the moments. */
function timesDesign({ nodes, designSquare }: KindMoments, byNode: Float64Array): Float64Array {
  const product = new Float64Array(nodes.length);
  for (let i = 0; i < nodes.length; i += 1) {
    const row = triangle(i);
    for (let j = 0; j <= i; j += 1) {
      product[i] += designSquare[row + j] * byNode[nodes[j]];
      if (j < i) product[j] += designSquare[row + j] * byNode[nodes[i]];
    }
  }
  return product;
}

function expectedRate(places: readonly DrivenPlace[], grade: PressureGrade, confidence: number): ExpectedRate {
  const counted: CountAt[] = places.map((place) => ({
    vehicle: place.vehicle,
    x: place.before,
    events: place[COUNTS[grade]],
    trials: place.passes,
  }));
  const { intercept, slope, covariance } = logisticLine(counted);
  let [events, shifts, rate, byIntercept, bySlope] = [0, 0, 0, 0, 0];
  for (const place of places) {
    const p = logistic(intercept + slope * place.after);
    events += place[COUNTS[grade]];
    shifts += place.passes;
    rate += place.passes * p;
    byIntercept += place.passes * p * (1 - p);
    bySlope += place.passes * p * (1 - p) * place.after;
  }
  const mean = rate / shifts;
  const variance =
    (byIntercept ** 2 * covariance[0] + 2 * byIntercept * bySlope * covariance[1] + bySlope ** 2 * covariance[2]) /
    shifts ** 2;
  // On the logit scale the interval stays between 0 and 1.
  const centre = Math.log(mean / (1 - mean));
  const reach = (normalCritical(confidence) * Math.sqrt(variance)) / (mean * (1 - mean));
  return { grade, before: events / shifts, after: mean, low: logistic(centre - reach), high: logistic(centre + reach) };
}

import { type ArrowPosterior, arrowPosterior } from './arrow-posterior.js';
import {
  type BlockPrior,
  type ByRole,
  blockPrior,
  type CorrectionPrior,
  priorPrecision,
  type VarianceComponents,
} from './block-prior.js';
import { choleskyInPlace, inverseOfFactor, quadraticForm } from './dense-blocks.js';
import type { FleetSums } from './fleet-sums.js';
import type { Effect } from './solve-kind.js';

/** Where components are looked for; a component at an end stays there. */
export interface ComponentBounds {
  readonly lowest: number;
  readonly highest: number;
}

export interface ComponentOptions {
  readonly start: VarianceComponents;
  readonly bounds: ComponentBounds;
  /** Ends when no component changes by more than this part of itself. */
  readonly tolerance: number;
  readonly maxIterations: number;
}

export interface ComponentFit {
  readonly components: VarianceComponents;
  readonly iterations: number;
  readonly isConverged: boolean;
}

/** The iteration creeps where a table turns out to be smooth; longer steps there have the same end. */
const OVER_RELAXATION = 1.5;

/**
 * Variance components by restricted marginal likelihood: σ, τ1, τ2 and the smoothness λ alike are variances of one
 * normal model, so that one fixed-point iteration serves them all (Wood and Fasiolo 2017, Biometrics 73, 1071–1081;
 * for single effects it is Schall 1991). Its fixed points are those where the restricted likelihood is stationary.
 */
export function fitComponents(
  sums: FleetSums,
  prior: CorrectionPrior,
  { start, bounds, tolerance, maxIterations }: ComponentOptions,
): ComponentFit {
  const priors = blockPriors(sums, prior);
  let components = start;
  for (let iteration = 1; iteration <= maxIterations; iteration += 1) {
    const next = improve(sums, arrowPosterior(sums, priors, components), components, bounds);
    const change = largestChange(components, next);
    components = next;
    if (change <= tolerance) return { components, iterations: iteration, isConverged: true };
  }
  return { components, iterations: maxIterations, isConverged: false };
}

/** The priors of all blocks. */
export function blockPriors(sums: FleetSums, prior: CorrectionPrior): { kinds: BlockPrior[]; shared: BlockPrior } {
  return { kinds: sums.kinds.map(({ block }) => blockPrior(block, prior)), shared: blockPrior(sums.shared, prior) };
}

function improve(
  sums: FleetSums,
  posterior: ArrowPosterior,
  components: VarianceComponents,
  { lowest, highest }: ComponentBounds,
): VarianceComponents {
  const within = (sd: number, before: number) => {
    const bounded = Math.min(highest, Math.max(lowest, sd));
    return Number.isFinite(bounded) ? Math.min(10 * before, Math.max(before / 10, bounded)) : before;
  };
  const residual = posterior.residualSquares / (sums.shifts - posterior.effectiveParameters);
  const roughness = (role: keyof ByRole) => {
    const before = components.roughnessSd[role];
    return within(before * (roughnessSd(posterior, components, role) / before) ** OVER_RELAXATION, before);
  };
  return {
    residualSd: within(Math.sqrt(residual), components.residualSd),
    vehicleSd: within(effectSd([posterior.vehicles], components.vehicleSd), components.vehicleSd),
    vehicleShiftSd: within(
      effectSd(ownBaseGroups(sums, posterior), components.vehicleShiftSd),
      components.vehicleShiftSd,
    ),
    roughnessSd: { base: roughness('base'), multiplier: roughness('multiplier') },
  };
}

/**
 * τ² = Σ(b − b̄)²/(n − Σvar(b)/τ²), b̄ the mean of a group. With a level of its own in the map a group's mean is 0 and this is
 * restricted likelihood. Where responses are not in proportion to the gain it is not, and τ must not grow to let through
 * what all cars have in common: that belongs to the map.
 */
function effectSd(groups: readonly (readonly Effect[])[], sd: number): number {
  let [square, freedom] = [0, 0];
  for (const effects of groups) {
    const mean = effects.reduce((sum, effect) => sum + effect.mean, 0) / effects.length;
    for (const effect of effects) {
      square += effect.mean * (effect.mean - mean);
      freedom += 1 - effect.variance / sd ** 2;
    }
  }
  return Math.sqrt(square / freedom);
}

/** The effects b_jq of each kind with a base table of its own, and those of the others together. */
function ownBaseGroups({ kinds }: FleetSums, posterior: ArrowPosterior): Effect[][] {
  const hasOwnBase = kinds.map(({ block }) => block.spans.some(({ span }) => span.role === 'base'));
  const own = posterior.kinds.filter((_, q) => hasOwnBase[q]);
  return [...own.map((effects) => [...effects]), posterior.kinds.filter((_, q) => !hasOwnBase[q]).flat()];
}

/** ν² = θᵀSθ/(λ·(tr(P⁻¹S) − tr(H⁻¹S))) with λ = 1/ν² before; NaN where no table of the role has three nodes in a row. */
function roughnessSd({ blocks }: ArrowPosterior, components: VarianceComponents, role: keyof ByRole): number {
  const lambda = 1 / components.roughnessSd[role] ** 2;
  let [square, traces] = [0, 0];
  for (const { prior, mean, covariance } of blocks) {
    const size = mean.length;
    const hasRole = prior.block.spans.some(({ span }) => span.role === role);
    if (!hasRole) continue;
    const before = priorPrecision(prior, components.roughnessSd);
    choleskyInPlace(before, size);
    const priorCovariance = inverseOfFactor(before, size);
    for (const [s, { span, offset }] of prior.block.spans.entries()) {
      if (span.role !== role) continue;
      const count = span.values.length;
      const roughness = prior.roughness[s];
      square += quadraticForm(roughness, mean.subarray(offset, offset + count));
      for (let i = 0; i < count; i += 1) {
        for (let j = 0; j < count; j += 1) {
          const place = (offset + i) * size + offset + j;
          traces += roughness[i * count + j] * (priorCovariance[place] - covariance[place]);
        }
      }
    }
  }
  return Math.sqrt(square / (lambda * traces));
}

function largestChange(a: VarianceComponents, b: VarianceComponents): number {
  const changes = [
    b.residualSd / a.residualSd,
    b.vehicleSd / a.vehicleSd,
    b.vehicleShiftSd / a.vehicleShiftSd,
    b.roughnessSd.base / a.roughnessSd.base,
    b.roughnessSd.multiplier / a.roughnessSd.multiplier,
  ];
  return Math.max(...changes.map((ratio) => Math.abs(ratio - 1)));
}

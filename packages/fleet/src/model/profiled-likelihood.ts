import { borderedPattern, borderedValues } from './bordered-matrix.js';
import type { CrossProducts } from './cross-products.js';
import type { RandomTerm } from './mixed-model-data.js';
import { relativeFactors, timesFactor } from './relative-factor.js';
import { analysePattern, factorise, logPivots, type SparseFactor, solveForLast } from './sparse-cholesky.js';

/** Restricted or plain maximum likelihood. */
export type LikelihoodMethod = 'reml' | 'ml';

/** Solution of the penalised least-squares problem at one θ. */
export interface ProfileSolution {
  /** −2 log likelihood, restricted or not, with β and σ² profiled out. */
  readonly criterion: number;
  readonly residualVariance: number;
  readonly coefficients: Float64Array;
  /** Lower factor R of the coefficients' information: their covariance is σ² (R Rᵀ)⁻¹. */
  readonly informationFactor: readonly Float64Array[];
  /** Random effects b = Λu, in the order of the block pattern. */
  readonly effects: Float64Array;
}

/**
 * The profiled criterion of Bates, Mächler, Bolker and Walker 2015, J. Stat. Softw. 67(1), sections 3.4 to 3.6, by one
 * sparse factorisation of the mixed-model equations with the response as their last column (section 2.2 of Bates and
 * DebRoy 2004, J. Multivar. Anal. 91, 1–17): its pivots are those of ΛᵀZᵀWZΛ + I, then those of the fixed effects'
 * information, then r², the penalised residual sum of squares.
 */
export class ProfiledLikelihood {
  readonly factor: SparseFactor;
  /** Number of random effects, which come first in the factor. */
  readonly effectCount: number;
  private readonly products: CrossProducts;
  private readonly random: readonly RandomTerm[];
  private readonly method: LikelihoodMethod;
  private readonly values: Float64Array;

  constructor(products: CrossProducts, random: readonly RandomTerm[], method: LikelihoodMethod) {
    const pattern = borderedPattern(products);
    this.products = products;
    this.random = random;
    this.method = method;
    this.effectCount = products.layout.pattern.size;
    this.factor = analysePattern(pattern);
    this.values = new Float64Array(pattern.rowIndex.length);
  }

  /** For the optimiser: ∞ where the fixed effects are drowned by the random ones. */
  criterion(theta: Float64Array): number {
    return this.factorAt(theta)?.criterion ?? Number.POSITIVE_INFINITY;
  }

  /** Null where the fixed effects are drowned by the random ones. Leaves `factor` at this θ. */
  solve(theta: Float64Array): ProfileSolution | null {
    const found = this.factorAt(theta);
    if (found === null) return null;
    const { effectCount, factor, products } = this;
    const solved = solveForLast(factor);
    return {
      ...found,
      coefficients: solved.slice(effectCount, -1),
      informationFactor: this.informationFactor(),
      effects: timesFactor(
        products.layout.layouts,
        relativeFactors(this.random, theta),
        solved.subarray(0, effectCount),
      ),
    };
  }

  private factorAt(theta: Float64Array): Pick<ProfileSolution, 'criterion' | 'residualVariance'> | null {
    const { effectCount, factor, products } = this;
    borderedValues(products, relativeFactors(this.random, theta), factor.pattern, this.values);
    const last = factor.pattern.size - 1;
    const reached = factorise(factor, this.values);
    if (reached < last) return null;
    const squares = reached === last ? 0 : factor.values[factor.columnStart[last]] ** 2;
    const isRestricted = this.method === 'reml';
    const freedom = products.observations - (isRestricted ? last - effectCount : 0);
    const residualVariance = squares / freedom;
    return {
      criterion:
        logPivots(factor, 0, isRestricted ? last : effectCount) +
        freedom * (1 + Math.log(2 * Math.PI * residualVariance)),
      residualVariance,
    };
  }

  /** The rows and columns of the fixed effects in the factor. */
  private informationFactor(): Float64Array[] {
    const { effectCount, factor, products } = this;
    const lower = products.xx.map((row) => new Float64Array(row.length));
    for (let j = 0; j < lower.length; j += 1) {
      const column = effectCount + j;
      for (let p = factor.columnStart[column]; p < factor.columnStart[column + 1]; p += 1) {
        const row = factor.rowIndex[p] - effectCount;
        if (row < lower.length) lower[row][j] = factor.values[p];
      }
    }
    return lower;
  }
}

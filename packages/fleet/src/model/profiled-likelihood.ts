import type { CrossProducts } from './cross-products.js';
import { backSolve, factoriseDense, forwardSolve } from './dense-cholesky.js';
import type { RandomTerm } from './mixed-model-data.js';
import { type RelativeFactor, relativeFactors, scaleBlocks, timesFactor, timesTransposed } from './relative-factor.js';
import {
  analysePattern,
  factorise,
  logDeterminant,
  type SparseFactor,
  solveLower,
  solveUpper,
} from './sparse-cholesky.js';

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
 * The profiled criterion of Bates, Mächler, Bolker and Walker 2015, J. Stat. Softw. 67(1), sections 3.4 to 3.6: with
 * the relative factor Λ(θ) of the random effects' covariance, L Lᵀ = ΛᵀZᵀWZΛ + I is factored, the fixed effects are
 * eliminated, and r² is the penalised residual sum of squares. One evaluation costs what the sparse factor costs.
 */
export class ProfiledLikelihood {
  readonly factor: SparseFactor;
  private readonly products: CrossProducts;
  private readonly random: readonly RandomTerm[];
  private readonly method: LikelihoodMethod;
  private readonly scaled: Float64Array;

  constructor(products: CrossProducts, random: readonly RandomTerm[], method: LikelihoodMethod) {
    this.products = products;
    this.random = random;
    this.method = method;
    this.factor = analysePattern(products.layout.pattern);
    this.scaled = new Float64Array(products.zz.length);
  }

  /** For the optimiser: ∞ where the fixed effects are drowned by the random ones. */
  criterion(theta: Float64Array): number {
    return this.solve(theta)?.criterion ?? Number.POSITIVE_INFINITY;
  }

  /** Null where the fixed effects are drowned by the random ones. Leaves `factor` at this θ. */
  solve(theta: Float64Array): ProfileSolution | null {
    const { products, factor } = this;
    const { layouts } = products.layout;
    const factors = relativeFactors(this.random, theta);
    scaleBlocks(products.layout, factors, products.zz, this.scaled);
    factorise(factor, this.scaled);

    const zx = products.zx.map((column) => this.eliminate(factors, column));
    const zy = this.eliminate(factors, products.zy);
    const information = products.xx.map((row, j) => row.map((value, k) => (k > j ? 0 : value - dot(zx[j], zx[k]))));
    const fixed = factoriseDense(information);
    if (fixed.kind === 'singular') return null;
    const halfSolved = forwardSolve(
      fixed.lower,
      products.xy.map((value, j) => value - dot(zx[j], zy)),
    );
    const coefficients = backSolve(fixed.lower, halfSolved);
    const squares = products.yy - dot(zy, zy) - dot(halfSolved, halfSolved);
    const u = zy.map((value, i) => value - zx.reduce((sum, column, j) => sum + column[i] * coefficients[j], 0));
    solveUpper(factor, u);
    return {
      ...this.likelihood(squares, fixed.lower),
      coefficients,
      informationFactor: fixed.lower,
      effects: timesFactor(layouts, factors, u),
    };
  }

  private eliminate(factors: readonly RelativeFactor[], column: Float64Array): Float64Array {
    const result = timesTransposed(this.products.layout.layouts, factors, column);
    solveLower(this.factor, result);
    return result;
  }

  private likelihood(squares: number, informationFactor: readonly Float64Array[]) {
    const isRestricted = this.method === 'reml';
    const freedom = this.products.observations - (isRestricted ? informationFactor.length : 0);
    const residualVariance = Math.max(0, squares) / freedom;
    const logDetFixed = 2 * informationFactor.reduce((sum, row, i) => sum + Math.log(row[i]), 0);
    const criterion =
      logDeterminant(this.factor) +
      (isRestricted ? logDetFixed : 0) +
      freedom * (1 + Math.log(2 * Math.PI * residualVariance));
    return { criterion, residualVariance };
  }
}

function dot(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < a.length; i += 1) sum += a[i] * b[i];
  return sum;
}

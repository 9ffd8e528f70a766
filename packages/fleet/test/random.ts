import { seededUniform, type UniformSource } from '../src/special/seeded-random.js';

/** Draws for simulated fleets, from one seed. */
export class Draws {
  readonly uniform: UniformSource;

  constructor(seed: number) {
    this.uniform = seededUniform(seed);
  }

  normal(): number {
    return Math.sqrt(-2 * Math.log(1 - this.uniform())) * Math.cos(2 * Math.PI * this.uniform());
  }

  /** Gamma with mean 1 and the given variance (Marsaglia and Tsang 2000, with their boost below shape 1). */
  gammaOfMeanOne(variance: number): number {
    return this.gamma(1 / variance) * variance;
  }

  private gamma(shape: number): number {
    if (shape < 1) return this.gamma(shape + 1) * (1 - this.uniform()) ** (1 / shape);
    const d = shape - 1 / 3;
    for (;;) {
      const x = this.normal();
      const v = (1 + x / Math.sqrt(9 * d)) ** 3;
      if (v > 0 && Math.log(1 - this.uniform()) < 0.5 * x * x + d - d * v + d * Math.log(v)) return d * v;
    }
  }

  /** Beta with this mean and correlation between the trials of one cluster, 1/(a + b + 1). */
  beta(mean: number, correlation: number): number {
    const total = 1 / correlation - 1;
    const a = this.gamma(mean * total);
    return a / (a + this.gamma((1 - mean) * total));
  }

  binomial(trials: number, rate: number): number {
    let events = 0;
    for (let i = 0; i < trials; i += 1) if (this.uniform() < rate) events += 1;
    return events;
  }
}

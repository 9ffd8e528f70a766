import { describe, expect, it } from 'vitest';
import { type OutcomeTable, tabulateOutcomes } from '../src/compare/outcome-table.js';
import { alwaysValidInterval, logMixtureRatio } from '../src/monitor/normal-mixture.js';
import { lookAtRollout } from '../src/monitor/rollout-monitor.js';
import { Draws } from './random.js';
import { hasReference, readReference } from './reference.js';

describe('normal mixture', () => {
  // Reference check values 10.2 and second source 7.2: closed form and quadrature agree to 1e-12.
  it.each([
    { n: 10, mean: 0.5, variance: 1, tau2: 1, ratio: 0.9393341554, half: 0.9606401929 },
    { n: 100, mean: 0.2, variance: 1, tau2: 1, ratio: 0.720822586, half: 0.3273018624 },
    { n: 100, mean: 0.3, variance: 1, tau2: 1, ratio: 8.5667230604, half: 0.3273018624 },
    { n: 1000, mean: 0.1, variance: 1, tau2: 1, ratio: 4.6675187116, half: 0.1136359078 },
    { n: 100, mean: 0.2, variance: 1, tau2: 0.04, ratio: 2.2150634391, half: 0.308238999 },
    { n: 500, mean: 0.05, variance: 2, tau2: 0.01, ratio: 0.6682003679, half: 0.2014141854 },
    { n: 1, mean: 0, variance: 1, tau2: 1, ratio: 0.7071067812, half: 3.6563948714 },
    { n: 1000, mean: 0.12, variance: 1, tau2: 0.01, ratio: 209.8739073217, half: 0.0960640193 },
  ])('of $n observations with mean $mean, variance $variance and τ² $tau2 is as published', (row) => {
    const input = {
      estimate: row.mean,
      standardError: Math.sqrt(row.variance / row.n),
      mixingSd: Math.sqrt(row.tau2),
    };
    expect(Math.exp(logMixtureRatio(input))).toBeCloseTo(row.ratio, 9);
    const { low, high } = alwaysValidInterval(input, 0.95);
    expect((high - low) / 2).toBeCloseTo(row.half, 9);
    expect((high + low) / 2).toBeCloseTo(row.mean, 12);
  });

  it.runIf(hasReference)('agrees with the reference file in full precision', () => {
    interface Example {
      n: number;
      xbar: number;
      sigma2: number;
      tau2: number;
      lambda: number;
      halfwidth95: number;
    }
    const { msprt_examples } = readReference<{ msprt_examples: Example[] }>('sequential.json');
    for (const { n, xbar, sigma2, tau2, lambda, halfwidth95 } of msprt_examples) {
      const input = { estimate: xbar, standardError: Math.sqrt(sigma2 / n), mixingSd: Math.sqrt(tau2) };
      expect(Math.exp(logMixtureRatio(input))).toBeCloseTo(lambda, 11);
      expect(alwaysValidInterval(input).high - xbar).toBeCloseTo(halfwidth95, 11);
    }
  });

  it('excludes a value exactly where its ratio reaches 1/α', () => {
    const input = { estimate: 0.03, standardError: 0.01, mixingSd: 0.05 };
    const { low } = alwaysValidInterval(input, 0.95);
    expect(Math.exp(logMixtureRatio(input, low))).toBeCloseTo(20, 9);
  });

  it('misses the mean at any of 2,000 looks in about 3 % of runs, where a fixed interval misses in over half', () => {
    // Reference check values 10.2: 2.97 % and 56.4 % of 20,000 runs.
    const draws = new Draws(20240229);
    const runs = 1000;
    let missed = 0;
    let missedByFixed = 0;
    for (let run = 0; run < runs; run += 1) {
      let sum = 0;
      let hasMissed = false;
      let hasMissedByFixed = false;
      for (let n = 1; n <= 2000; n += 1) {
        sum += draws.normal();
        const z = Math.abs(sum) / Math.sqrt(n);
        hasMissedByFixed ||= z > 1.959963984540054;
        if (z > 1.9) {
          const { low, high } = alwaysValidInterval({
            estimate: sum / n,
            standardError: 1 / Math.sqrt(n),
            mixingSd: 1,
          });
          hasMissed ||= low > 0 || high < 0;
        }
      }
      if (hasMissed) missed += 1;
      if (hasMissedByFixed) missedByFixed += 1;
    }
    expect(missed / runs).toBeLessThanOrEqual(0.05);
    expect(missed / runs).toBeGreaterThan(0.015);
    expect(missedByFixed / runs).toBeGreaterThan(0.5);
  });
});

const STRATA = 6;

/** 24 cars with 100 older shifts each, correlation 0.05; the newer revision is driven and looked at again and again. */
class Rollout {
  readonly table: OutcomeTable;
  newerShifts = 0;
  private readonly factors: readonly number[];
  private readonly draws: Draws;
  private readonly ratio: number;

  constructor(draws: Draws, ratio: number) {
    this.draws = draws;
    this.ratio = ratio;
    // A flare rate of 5 % with correlation 0.05 between shifts of one car: variance 0.05 · 0.95 / 0.05 of the factor.
    this.factors = Array.from({ length: 24 }, () => draws.gammaOfMeanOne(0.95));
    this.table = tabulateOutcomes(
      this.factors.flatMap((_, vehicle) =>
        Array.from({ length: STRATA }, (__, stratum) => ({
          stratum,
          vehicle,
          revision: 'older' as const,
          shifts: 0,
          events: 0,
        })),
      ),
    );
    for (const vehicle of this.factors.keys()) this.drive('older', vehicle, 100, 1);
  }

  /** Each car adds 0 to 4 shifts, two on average. */
  driveNewer(): void {
    for (const vehicle of this.factors.keys()) {
      const shifts = Math.floor(this.draws.uniform() * 5);
      this.newerShifts += shifts;
      this.drive('newer', vehicle, shifts, this.ratio);
    }
  }

  private drive(revision: 'older' | 'newer', vehicle: number, shifts: number, ratio: number): void {
    const { draws, table } = this;
    for (let i = 0; i < shifts; i += 1) {
      const stratum = Math.floor(draws.uniform() * STRATA);
      const rate = 0.05 * (0.4 + (1.2 * stratum) / (STRATA - 1));
      const entry = vehicle * STRATA + stratum;
      table[`${revision}Shifts`][entry] += 1;
      if (draws.uniform() < ratio * rate * this.factors[vehicle]) table[`${revision}Events`][entry] += 1;
    }
  }
}

const LOOKS = 100;

describe('rollout monitor', { timeout: 60_000 }, () => {
  it('raises a false alarm in at most 5 % of rollouts over 100 looks, where fixed intervals raise far more', () => {
    const draws = new Draws(1);
    const rollouts = 100;
    let alarms = 0;
    let alarmsOfFixed = 0;
    for (let i = 0; i < rollouts; i += 1) {
      const rollout = new Rollout(draws, 1);
      let hasAlarm = false;
      let hasFixedAlarm = false;
      for (let look = 0; look < LOOKS; look += 1) {
        rollout.driveNewer();
        const { kind, comparison } = lookAtRollout(rollout.table);
        hasAlarm ||= kind === 'harm';
        hasFixedAlarm ||=
          comparison.kind === 'estimate' && (comparison.adjusted.low > 0 || comparison.adjusted.high < 0);
      }
      if (hasAlarm) alarms += 1;
      if (hasFixedAlarm) alarmsOfFixed += 1;
    }
    expect(alarms / rollouts).toBeLessThanOrEqual(0.05);
    expect(alarmsOfFixed / rollouts).toBeGreaterThan(0.15);
  });

  it('sees a flare rate doubled from 5 % within 600 shifts in half the rollouts and within 1,500 in 85 %', () => {
    const draws = new Draws(2);
    const rollouts = 80;
    const shiftsToAlarm = Array.from({ length: rollouts }, () => {
      const rollout = new Rollout(draws, 2);
      for (let look = 0; look < LOOKS; look += 1) {
        rollout.driveNewer();
        if (lookAtRollout(rollout.table).kind === 'harm') return rollout.newerShifts;
      }
      return Number.POSITIVE_INFINITY;
    });
    const shareWithin = (shifts: number) => shiftsToAlarm.filter((n) => n <= shifts).length / rollouts;
    expect(shareWithin(600)).toBeGreaterThanOrEqual(0.5);
    expect(shareWithin(1500)).toBeGreaterThanOrEqual(0.85);
  });

  it('calls an improved revision safe in the end and never before it has looked at enough', () => {
    const rollout = new Rollout(new Draws(3), 0.3);
    expect(lookAtRollout(rollout.table).kind).toBe('insufficient');
    const kinds = Array.from({ length: LOOKS }, () => {
      rollout.driveNewer();
      return lookAtRollout(rollout.table).kind;
    });
    expect(kinds).not.toContain('harm');
    expect(kinds[LOOKS - 1]).toBe('safe');
  });

  it('tolerates a rise below the harm limit', () => {
    const rollout = new Rollout(new Draws(4), 2);
    for (let look = 0; look < LOOKS; look += 1) rollout.driveNewer();
    expect(lookAtRollout(rollout.table).kind).toBe('harm');
    expect(lookAtRollout(rollout.table, { harmLimit: 0.2 }).kind).toBe('safe');
  });
});

import { describe, expect, it } from 'vitest';
import { type FleetResponse, fleetResponse, scaledByResponse } from '../src/estimate/fleet-response.js';
import { Draws } from './random.js';
import { aShift, estimated, smallDesign, unroundedMoments, type VehicleRow } from './small-fleet.js';

const NODES = 5;
const design = smallDesign([
  { id: 'base', axes: [Array.from({ length: NODES }, (_, i) => i)], values: { '1-2': Array(NODES).fill(100) } },
]);
/** What the next revision changed, uneven so that no trim can pass for it. */
const CHANGE = [0.08, 0.05, -0.03, 0.07, -0.06];
const WANTED = [0.2, 0.12, 0.01, 0.1, -0.1];

/** Twelve cars with trims, whose responses follow the map's error by `slope`, before the change and after it. */
function drive(slope: number, seed: number, noise = 0.03) {
  const draws = new Draws(seed);
  const trims = Array.from({ length: 12 }, () => 0.04 * draws.normal());
  const rows = (changed: number): VehicleRow[] =>
    trims.flatMap((trim, car) =>
      Array.from({ length: 60 }, () => {
        const node = Math.floor(NODES * draws.uniform());
        const y = slope * (WANTED[node] - changed * CHANGE[node]) + trim + noise * draws.normal();
        return {
          vehicle: `car ${String(car).padStart(2, '0')}`,
          observation: { ...aShift({ y, row: { nodes: [node], shares: [1], gain: 1 } }), x: [1] },
        };
      }),
    );
  return { older: unroundedMoments(rows(0)), newer: unroundedMoments(rows(1)) };
}

function found(slope: number, seed: number, noise?: number): FleetResponse {
  const { older, newer } = drive(slope, seed, noise);
  return fleetResponse(estimated(design, newer), older, CHANGE);
}

describe('the response of a fleet to a revision', () => {
  it.each([0.45, 0.6, 0.8, 1, 1.15])('is found to be %s within three of its errors (truth of the model)', (slope) => {
    for (let seed = 1; seed <= 5; seed += 1) {
      const { slope: told, standardError } = found(slope, seed);
      expect(Math.abs(told - slope) / standardError).toBeLessThan(3);
      expect(standardError).toBeLessThan(0.08);
    }
  });

  it('is the usual one, with its doubt, when nothing was changed or nobody drove before', () => {
    const { older, newer } = drive(0.9, 7);
    const estimate = estimated(design, newer);
    const usual = fleetResponse(estimate, new Map(), CHANGE);
    expect(usual.standardError).toBeGreaterThan(0.1);
    expect(
      fleetResponse(
        estimate,
        older,
        CHANGE.map(() => 0),
      ),
    ).toEqual(usual);
  });

  it('keeps to what was known before where the change tells little of it', () => {
    const { older, newer } = drive(0.9, 7);
    const estimate = estimated(design, newer);
    const before = { slope: 0.6, standardError: 0.01 };
    const slight = CHANGE.map((change) => change / 100);
    expect(fleetResponse(estimate, new Map(), CHANGE, before)).toEqual(before);
    expect(fleetResponse(estimate, older, slight, before).slope).toBeCloseTo(0.6, 1);
    expect(fleetResponse(estimate, older, CHANGE).slope).toBeGreaterThan(0.75);
  });

  it('stays within what a driveline can do, however wild the shifts are', () => {
    for (const slope of [-1, 0, 4]) {
      const told = found(slope, 3).slope;
      expect(told).toBeGreaterThanOrEqual(0.35);
      expect(told).toBeLessThanOrEqual(1.2);
    }
  });

  it('makes corrections, their errors and trims larger where responses follow only in part', () => {
    const estimate = estimated(design, drive(0.8, 2).newer);
    const scaled = scaledByResponse(estimate, { slope: 0.8, standardError: 0.05 });
    for (const [k, value] of estimate.correctionLn.entries()) {
      expect(scaled.correctionLn[k] * 0.8).toBeCloseTo(value, 12);
      expect(scaled.sdLn[k] * 0.8).toBeCloseTo(estimate.sdLn[k], 12);
    }
    expect(scaled.trims[3].trimLn * 0.8).toBeCloseTo(estimate.trims[3].trimLn, 12);
    expect(scaled.trims[3].byKind[0].sdLn * 0.8).toBeCloseTo(estimate.trims[3].byKind[0].sdLn, 12);
  });
});

import { NO_OUTCOMES, type OutcomeCounts } from '@syncline/store';
import { describe, expect, it } from 'vitest';
import { carRate, fleetRate } from '../src/services/rates.js';

/** A car of forty shifts, all clean as far as could be told. */
function aCar(changes: Partial<OutcomeCounts> = {}): OutcomeCounts {
  return { ...NO_OUTCOMES, shifts: 40, clean: 40, flareMeasured: 40, slowMeasured: 40, ...changes };
}

describe('a rate', () => {
  it('of a car whose tie-ups could not be measured is not zero but unknown', () => {
    expect(carRate(aCar(), 'tieUp')).toMatchObject({ kind: 'insufficient', shifts: 0, vehicles: 0 });
    expect(carRate(aCar(), 'flare')).toMatchObject({ kind: 'estimate', shifts: 40, rate: 0 });
  });

  it('of a fleet counts only the shifts and cars that could tell', () => {
    const cars = [
      aCar(),
      aCar({ tieUp: 2, tieUpMeasured: 20 }),
      aCar({ tieUpMeasured: 20 }),
      aCar({ tieUpMeasured: 10 }),
    ];
    expect(fleetRate(cars, 'tieUp')).toMatchObject({
      kind: 'estimate',
      events: 2,
      shifts: 50,
      vehicles: 3,
      rate: 0.04,
    });
  });

  it('of a fleet that could tell nothing says so', () => {
    expect(fleetRate([aCar(), aCar()], 'harsh')).toMatchObject({
      kind: 'insufficient',
      events: 0,
      shifts: 0,
      vehicles: 0,
    });
  });
});

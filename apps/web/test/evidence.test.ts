import type { EvidenceResponse, Rate } from '@syncline/contract';
import { describe, expect, it } from 'vitest';
import { endOf, rateColumns } from '../src/format/rate-columns.js';
import { tellingPlace } from '../src/pages/revision/evidence.js';

const few = (events: number, shifts: number): Rate => ({
  kind: 'insufficient',
  events,
  shifts,
  vehicles: 1,
  neededShifts: 10,
  neededVehicles: 3,
});
const known: Rate = { kind: 'estimate', events: 3, shifts: 30, vehicles: 5, rate: 0.1, low: 0.03, high: 0.26 };

function cell(row: number, column: number, shifts: number, flares: number, tieUps: number) {
  return { row, column, shifts, vehicles: 1, flare: few(flares, shifts), tieUp: few(tieUps, shifts) };
}

function evidence(...cells: EvidenceResponse['cells']): EvidenceResponse {
  return { tableId: 'base', variant: '1-2', cells };
}

describe('the cell to look at first', () => {
  it.each([
    ['flare', { row: 0, column: 1 }],
    ['tie-up', { row: 1, column: 0 }],
  ] as const)('is the one with the most events of %s', (measure, place) => {
    expect(tellingPlace(evidence(cell(0, 0, 90, 1, 0), cell(0, 1, 20, 4, 0), cell(1, 0, 20, 0, 2)), measure)).toEqual(
      place,
    );
  });

  it('is the one with the most shifts where nothing happened', () => {
    expect(tellingPlace(evidence(cell(0, 0, 3, 0, 0), cell(1, 1, 8, 0, 0)), 'flare')).toEqual({ row: 1, column: 1 });
  });

  it('is left open where nothing was driven', () => {
    expect(tellingPlace(evidence(cell(0, 0, 0, 0, 0)), 'flare')).toBeUndefined();
  });
});

describe('a rate in a download', () => {
  const cells = (rate: Rate | undefined) =>
    rateColumns<Rate | undefined>('flare', (row) => row).map((column) => column.cell(rate));

  it('comes with its counts and both ends of its interval', () => {
    expect(cells(known)).toEqual([3, 30, 5, 0.1, 0.03, 0.26]);
  });

  it('of too few shifts keeps its counts and leaves the rest empty', () => {
    expect(cells(few(1, 4))).toEqual([1, 4, 1, null, null, null]);
    expect(endOf(few(1, 4), 'rate')).toBeNull();
  });

  it('that is missing is empty', () => {
    expect(cells(undefined)).toEqual([null, null, null, null, null, null]);
  });
});

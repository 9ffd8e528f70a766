import type { Rate } from '@syncline/contract';
import type { CsvColumn } from './csv.js';

/** The rate or an end of its interval, as a share; null where there are too few shifts to tell. */
export function endOf(rate: Rate | undefined, end: 'low' | 'rate' | 'high'): number | null {
  return rate?.kind === 'estimate' ? rate[end] : null;
}

/** Columns of a download that give a rate with its counts and its interval. `of` may have none for a row. */
export function rateColumns<Row>(name: string, of: (row: Row) => Rate | undefined): CsvColumn<Row>[] {
  return [
    { header: `${name} events`, cell: (row) => of(row)?.events ?? null },
    { header: `${name} shifts`, cell: (row) => of(row)?.shifts ?? null },
    { header: `${name} vehicles`, cell: (row) => of(row)?.vehicles ?? null },
    { header: `${name} rate (share)`, cell: (row) => endOf(of(row), 'rate') },
    { header: `${name} low (share)`, cell: (row) => endOf(of(row), 'low') },
    { header: `${name} high (share)`, cell: (row) => endOf(of(row), 'high') },
  ];
}

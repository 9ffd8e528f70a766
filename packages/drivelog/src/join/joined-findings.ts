import type { DamageLedger } from '../damage-ledger.js';
import type { ReadFindings } from '../log-reader.js';
import type { JoinedRows } from './joined-rows.js';

/**
 * The part of the findings that readers of signals at different rates share. Such logs have no columns, comments or
 * header rows, so that what only a table can show is 0.
 */
export function joinedFindings(rows: JoinedRows, damage: DamageLedger) {
  return {
    sampleCount: rows.sampleCount,
    damagedRows: damage.count,
    damagedByReason: { ...damage.byReason },
    firstDamage: [...damage.first],
    missingValues: rows.missingValues(),
    rowsWithExtraFields: 0,
    blankLines: 0,
    commentLines: 0,
    repeatedHeaders: 0,
    midnightCrossings: 0,
    endsWithoutLineEnd: false,
    join: rows.findings(),
  } satisfies Partial<ReadFindings>;
}

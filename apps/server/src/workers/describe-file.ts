import { type CsvInspection, type DamageReason, type ReadFindings, suggestSignalMap } from '@syncline/drivelog';
import type { InspectionDocument, ReadFindingsDocument } from '@syncline/store';

const DELIMITER_WORDS = { ',': 'comma', ';': 'semicolon', '\t': 'tab' } as const;

/** What was understood of a file, with the map that its header suggests and why. */
export function toInspectionDocument(inspection: CsvInspection): InspectionDocument {
  const suggestion = suggestSignalMap(inspection);
  const time = inspection.timeCandidates[0];
  return {
    format: inspection.format,
    delimiter: DELIMITER_WORDS[inspection.dialect.delimiter],
    decimalMark: inspection.dialect.decimalMark,
    columns: inspection.columns.map(({ name, unit }) => ({ name, unit })),
    firstRows: inspection.firstRows,
    suggestion: suggestion.map,
    reasons: [
      ...inspection.findings.map((finding) => finding.message),
      ...(time ? [`“${time.column}” was taken for the time: ${time.reason}.`] : []),
      ...suggestion.reasons.map(
        ({ signal, column, confidence, reason }) =>
          `“${column}” was taken for ${signal} (${confidence} confidence): ${reason}.`,
      ),
    ],
  };
}

const EXPECTED: Readonly<Record<DamageReason, string>> = {
  too_few_fields: 'as many fields as the header has columns',
  time_missing: 'a time',
  time_unreadable: 'a time in the format of the map',
  value_unreadable: 'a number or a known state',
  quoting: 'closed quotation marks',
  field_too_long: 'a field of ordinary length',
};

/** What the reader left out, in the words of the store; what was merely odd becomes remarks. */
export function toReadFindingsDocument(findings: ReadFindings): ReadFindingsDocument {
  return {
    rowCount: findings.sampleCount + findings.damagedRows,
    damagedRowCount: findings.damagedRows,
    damagedRows: findings.firstDamage.map(({ line, column, found, reason }) => ({
      line,
      column,
      found,
      expected: EXPECTED[reason],
    })),
    missingValues: { ...findings.missingValues },
    remarks: remarksOn(findings),
  };
}

function remarksOn(findings: ReadFindings): string[] {
  const counted: readonly (readonly [number, string])[] = [
    [findings.rowsWithExtraFields, 'rows with more fields than the header; the extra ones were not read'],
    [findings.blankLines, 'blank lines'],
    [findings.commentLines, 'comment lines'],
    [findings.repeatedHeaders, 'repeated headers: the logger was restarted'],
    [findings.midnightCrossings, 'times past midnight; a day was added from there on'],
  ];
  return [
    ...counted.filter(([count]) => count > 0).map(([count, what]) => `${count} ${what}.`),
    ...(findings.endsWithoutLineEnd ? ['The last line has no end; its last number may have been cut short.'] : []),
    ...(findings.startInstant?.hasZone === false ? ['The times state no zone; they were taken as UTC.'] : []),
  ];
}

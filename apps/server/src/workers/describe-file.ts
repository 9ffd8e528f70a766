import {
  type DamageReason,
  type LogInspection,
  type MdfInspection,
  type ReadFindings,
  suggestSignalMap,
} from '@syncline/drivelog';
import type { InspectionDocument, LogFormat, ReadFindingsDocument } from '@syncline/store';

const DELIMITER_WORDS = { ',': 'comma', ';': 'semicolon', '\t': 'tab' } as const;

/** What was understood of a file, with the map that its columns suggest and why. `remarks` come first. */
export function toInspectionDocument(
  content: LogInspection | MdfInspection,
  remarks: readonly string[] = [],
): InspectionDocument {
  const suggestion = suggestSignalMap(content);
  const time = content.timeCandidates[0];
  const dialect = content.format === 'csv' ? content.dialect : null;
  return {
    format: content.format,
    delimiter: dialect && DELIMITER_WORDS[dialect.delimiter],
    decimalMark: dialect && dialect.decimalMark,
    columns: content.columns.map(({ name, unit }) => ({ name, unit })),
    firstRows: content.firstRows,
    suggestion: suggestion.map,
    reasons: [
      ...remarks,
      ...content.findings.map((finding) => finding.message),
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

/** Where a whole line or record is damaged, each format expects something of its own. */
const EXPECTED_WHOLE: Readonly<Record<LogFormat, string>> = {
  csv: EXPECTED.value_unreadable,
  jsonLines: 'one flat JSON object',
  candump: 'a frame such as “(1436509052.249713) can0 044#2A366C2BBA”',
  mdf: 'a whole record',
};

/** What the reader left out, in the words of the store; what was merely odd becomes remarks. */
export function toReadFindingsDocument(findings: ReadFindings, format: LogFormat): ReadFindingsDocument {
  return {
    rowCount: findings.sampleCount + findings.damagedRows,
    damagedRowCount: findings.damagedRows,
    damagedRows: findings.firstDamage.map(({ line, column, found, reason }) => ({
      line,
      column,
      found,
      expected: column === null && format !== 'csv' ? EXPECTED_WHOLE[format] : EXPECTED[reason],
    })),
    missingValues: { ...findings.missingValues },
    remarks: remarksOn(findings),
  };
}

function remarksOn(findings: ReadFindings): string[] {
  const { bus } = findings;
  const counted: readonly (readonly [number, string])[] = [
    [findings.rowsWithExtraFields, 'rows with more fields than the header; the extra ones were not read'],
    [findings.blankLines, 'blank lines'],
    [findings.commentLines, 'comment lines'],
    [findings.repeatedHeaders, 'repeated headers: the logger was restarted'],
    [findings.midnightCrossings, 'times past midnight; a day was added from there on'],
    [bus?.otherBusFrames ?? 0, 'frames of other buses, which were not read'],
    [bus?.shortFrames ?? 0, 'frames too short for a mapped signal'],
    [bus?.errorFrames ?? 0, 'error frames'],
    [bus?.remoteFrames ?? 0, 'remote frames'],
  ];
  return [
    ...counted.filter(([count]) => count > 0).map(([count, what]) => `${count} ${what}.`),
    ...(findings.endsWithoutLineEnd ? ['The last line has no end; its last number may have been cut short.'] : []),
    ...(findings.startInstant?.hasZone === false ? ['The times state no zone; they were taken as UTC.'] : []),
  ];
}

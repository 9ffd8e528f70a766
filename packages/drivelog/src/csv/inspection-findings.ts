import type { InspectionFinding, LogColumn } from '../log-content.js';
import type { CsvDialect } from './csv-dialect.js';
import type { HeadLayout } from './find-layout.js';
import type { HeadRecord } from './split-head.js';

/** How many numbers with decimals were written with each mark. */
export interface DecimalMarkCounts {
  readonly point: number;
  readonly comma: number;
}

interface Understood {
  readonly dialect: CsvDialect;
  readonly columns: readonly LogColumn[];
  readonly layout: HeadLayout;
  readonly rows: readonly (readonly string[])[];
  readonly preamble: readonly HeadRecord[];
  readonly marks: DecimalMarkCounts;
  readonly hasTime: boolean;
}

/** Lists what is odd about the beginning of a file, in the order in which a reader of the file would meet it. */
export function findOddities(understood: Understood): InspectionFinding[] {
  return [...textOddities(understood), ...headerOddities(understood), ...numberOddities(understood)];
}

function textOddities({ dialect, layout, preamble }: Understood): InspectionFinding[] {
  const findings: InspectionFinding[] = [];
  if (dialect.hasByteOrderMark) {
    findings.push({ code: 'byte_order_mark', message: 'The file begins with a byte order mark; it is skipped.' });
  }
  if (dialect.encoding !== 'utf-8') {
    const message = 'The text is not UTF-8; it is read as Windows-1252, which includes Latin-1.';
    findings.push({ code: 'not_utf8', message });
  }
  const strays = preamble.filter((record) => record.kind === 'fields').length;
  if (strays > 0)
    findings.push({ code: 'lines_before_header', message: `Lines above the header, not read: ${strays}.` });
  if (layout.header.kind === 'comment') {
    findings.push({ code: 'header_in_comment', message: 'The column names stand in a comment line.' });
  }
  return findings;
}

function headerOddities({ columns, layout, rows }: Understood): InspectionFinding[] {
  const findings: InspectionFinding[] = [];
  const cells = layout.headerCells;
  for (const [i, cell] of cells.entries()) {
    const name = columns[i]?.name;
    if (cell === '')
      findings.push({ code: 'unnamed_column', message: `Column ${i + 1} has no name; it is called “${name}”.` });
    else if (cells.indexOf(cell) < i) {
      const message = `Column ${i + 1} repeats the name “${cell}”; it is called “${name}”, the first keeps the name.`;
      findings.push({ code: 'duplicate_column', message });
    }
  }
  const extra = columns.length - cells.length;
  if (extra > 0) {
    const message = `The header names ${cells.length} columns, most rows have ${columns.length}; those beyond it are called by their position.`;
    findings.push({ code: 'header_shorter_than_rows', message });
  }
  const shortRows = rows.filter((row) => row.length < cells.length).length;
  if (shortRows > rows.length / 2) {
    const message = `The header names ${cells.length} columns, most rows have fewer; such rows count as cut short.`;
    findings.push({ code: 'header_longer_than_rows', message });
  }
  return findings;
}

function numberOddities({ dialect, marks, hasTime }: Understood): InspectionFinding[] {
  const findings: InspectionFinding[] = [];
  if (marks.point > 0 && marks.comma > 0) {
    const message = `Decimal points (${marks.point}) and decimal commas (${marks.comma}) are mixed; “${dialect.decimalMark}” is read.`;
    findings.push({ code: 'decimal_marks_mixed', message });
  }
  if (marks.point + marks.comma === 0 && dialect.delimiter !== ',') {
    const message = `The first rows hold no number with decimals; “${dialect.decimalMark}” is assumed as decimal mark.`;
    findings.push({ code: 'decimal_mark_unseen', message });
  }
  if (!hasTime) findings.push({ code: 'no_time_column', message: 'No column was recognised as time.' });
  return findings;
}

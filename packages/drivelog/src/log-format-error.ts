/** Every way in which a file cannot be read as a drive log, with the way to mend it. */
const LOG_FORMAT_PROBLEMS = {
  empty: 'Upload the file again: nothing arrived.',
  unknown_content: 'Export the log as one of these.',
  format_not_accepted: 'Export the log as one of these.',
  compressed: 'Unpack the file; an upload may be packed as gzip or zip.',
  encoding_utf16: 'Save the file as UTF-8.',
  binary_content: 'Export the log as one of these.',
  no_delimiter: 'Separate the columns by commas, semicolons or tabs.',
  no_header: 'Put a row with column names above the data.',
  no_data_rows: 'Check that the logger was running: the file has no rows of numbers.',
  no_time_column: 'Log the time of each sample, and map that column as time.',
  too_many_columns: 'Export fewer channels.',
  line_too_long: 'Check the line ends of the file, or export fewer channels.',
  frames_without_time: 'Capture with candump -L, or with -t a.',
  signal_list: 'Correct the bus signal list of the platform.',
  json_lines: 'Write one flat JSON object per line, each with its time.',
  mdf_damaged: 'Export the measurement again: the file was cut or altered.',
  mdf_unsupported: 'Export the measurement as sorted MDF 4.1, or as CSV.',
  signal_map: 'Correct the signal map of this vehicle for this file.',
  header_changed: 'Split the file where its columns change, and upload the parts.',
  mostly_damaged: 'Check delimiter, decimal mark and signal map, or log again.',
  nothing_readable: 'Check delimiter, decimal mark and signal map, or log again.',
} as const;

export type LogFormatErrorCode = keyof typeof LOG_FORMAT_PROBLEMS;

/** Where in the file: `line` counts from 1, `byteOffset` from 0. */
export interface LogPosition {
  readonly line?: number;
  readonly byteOffset?: number;
  readonly column?: string;
}

/** What an error says: what was met, what was needed instead, where. The texts are safe to show. */
export interface LogFormatDetail {
  readonly found: string;
  readonly expected: string;
  readonly position?: LogPosition;
}

/** The file as a whole cannot be read. Single damaged rows are findings, not errors. */
export class LogFormatError extends Error {
  override readonly name = 'LogFormatError';
  readonly code: LogFormatErrorCode;
  readonly position: LogPosition;
  readonly found: string;
  readonly expected: string;
  /** What the person with the file can do. */
  readonly mend: string;

  constructor(code: LogFormatErrorCode, detail: LogFormatDetail) {
    const position = detail.position ?? {};
    super(`${placeText(position)}found ${detail.found}; expected ${detail.expected}. ${LOG_FORMAT_PROBLEMS[code]}`);
    this.code = code;
    this.position = position;
    this.found = detail.found;
    this.expected = detail.expected;
    this.mend = LOG_FORMAT_PROBLEMS[code];
  }
}

function placeText(position: LogPosition): string {
  const parts: string[] = [];
  if (position.line !== undefined) parts.push(`line ${position.line}`);
  if (position.column !== undefined) parts.push(`column “${position.column}”`);
  if (position.byteOffset !== undefined) parts.push(`byte ${position.byteOffset}`);
  return parts.length === 0 ? '' : `${parts.join(', ')}: `;
}

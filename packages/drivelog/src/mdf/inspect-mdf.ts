import type { InspectionFinding, LogColumn, LogContent } from '../log-content.js';
import type { BlockFile } from './block-file.js';
import { channelReader } from './channel-reader.js';
import { timeReader } from './group-samples.js';
import { listColumns, type MdfColumn, type MdfColumns, type UnreadChannel } from './list-columns.js';
import type { Inflate, RandomAccess } from './random-access.js';
import { RecordCursor } from './record-cursor.js';
import { type MdfStructure, readStructure } from './structure.js';

/** What was understood of an MDF file. Its columns are the time and the channels that can be read. Plain data. */
export interface MdfInspection extends LogContent {
  readonly format: 'mdf';
  /** 410 is 4.10. */
  readonly version: number;
  /** Short name of the program that wrote the file. */
  readonly program: string;
  /** Start of the measurement (ms since 1970); null when the file does not tell it in universal time. */
  readonly startUtcMs: number | null;
  readonly groups: readonly MdfGroupSummary[];
  readonly unread: readonly UnreadChannel[];
}

/** Channels that were sampled together. */
export interface MdfGroupSummary {
  readonly name: string;
  readonly recordCount: number;
  readonly columns: readonly string[];
}

const SHOWN_ROWS = 10;
const SHOWN_NAMES = 20;
/** Columns whose first values are shown; the others are listed without. */
const MAX_SHOWN_COLUMNS = 256;

/**
 * Understands an MDF 4 file: its groups, channels, units and first values. Throws LogFormatError when the file is cut,
 * altered, unfinished, or older than version 4.
 */
export function inspectMdf(access: RandomAccess, inflate: Inflate): MdfInspection {
  const structure = readStructure(access);
  const listed = listColumns(structure);
  const columns = plainColumns(listed);
  const groups = groupsOf(listed.columns);
  const { version, program, startUtcMs } = structure;
  return {
    format: 'mdf',
    version,
    program,
    startUtcMs,
    groups: groups.map((group) => ({
      name: group[0].group.name,
      recordCount: group[0].group.recordCount,
      columns: group.map(({ name }) => name),
    })),
    unread: listed.unread,
    columns,
    timeCandidates: listed.time
      ? [
          {
            column: listed.time.name,
            format: 'seconds',
            confidence: 'high',
            reason: 'the file names it as the time of its records',
          },
        ]
      : [],
    firstRows: firstRows(structure, groups, columns.length, inflate),
    findings: findOddities(listed, groups),
  };
}

function plainColumns({ time, columns }: MdfColumns): LogColumn[] {
  const plain = columns.map(({ index, name, label, unit }) => ({ index, name, label, unit }));
  return time === null ? plain : [time, ...plain];
}

/** Columns that were sampled together, in the order of the file. */
export function groupsOf(columns: readonly MdfColumn[]): MdfColumn[][] {
  const groups = new Map<number, MdfColumn[]>();
  for (const column of columns) {
    const group = groups.get(column.group.offset) ?? [];
    groups.set(column.group.offset, group);
    group.push(column);
  }
  return [...groups.values()];
}

/** The first records of each group in turn; cells of other groups stay empty. */
function firstRows(
  { file }: MdfStructure,
  groups: readonly (readonly MdfColumn[])[],
  columnCount: number,
  inflate: Inflate,
): string[][] {
  const rowCount = Math.max(1, Math.floor(SHOWN_ROWS / Math.max(1, groups.length)));
  return groups
    .slice(0, SHOWN_ROWS)
    .flatMap((group) => firstRowsOf(file, group.slice(0, MAX_SHOWN_COLUMNS), { columnCount, rowCount, inflate }));
}

interface ShownRows {
  readonly columnCount: number;
  readonly rowCount: number;
  readonly inflate: Inflate;
}

function firstRowsOf(
  file: BlockFile,
  columns: readonly MdfColumn[],
  { columnCount, rowCount, inflate }: ShownRows,
): string[][] {
  const [{ dataGroup, group }] = columns;
  const cursor = new RecordCursor(file, dataGroup, group, inflate);
  const readTime = timeReader(file, group);
  const readers = columns.map(({ channel }) => channelReader(file, group, channel));
  const timeS = new Float64Array(1);
  const rows: string[][] = [];
  for (let run = cursor.next(1); run !== undefined; run = rows.length < rowCount ? cursor.next(1) : undefined) {
    const row = Array.from({ length: columnCount }, () => '');
    readTime(run, timeS, 0);
    row[0] = cellText(timeS[0]);
    for (const [i, { index }] of columns.entries()) row[index] = cellText(readers[i]?.values(run)[0] ?? NaN);
    rows.push(row);
  }
  return rows;
}

function cellText(value: number | string): string {
  return typeof value === 'string' ? value : Number.isNaN(value) ? '' : String(value);
}

function findOddities({ time, unread }: MdfColumns, groups: readonly (readonly MdfColumn[])[]): InspectionFinding[] {
  const findings: InspectionFinding[] = [];
  if (time === null) findings.push({ code: 'no_time_column', message: 'No group of the file has a time.' });
  if (unread.length > 0) {
    const shown = unread.slice(0, SHOWN_NAMES).map(({ name, reason }) => `“${name}” (${reason})`);
    findings.push({
      code: 'channel_unread',
      message: `Not read: ${shown.join(', ')}${unread.length > SHOWN_NAMES ? ' …' : ''}.`,
    });
  }
  if (groups.length > 1) {
    const message = `The channels were recorded in ${groups.length} groups of their own times; they are joined to the times of the faster speed.`;
    findings.push({ code: 'several_rates', message });
  }
  return findings;
}

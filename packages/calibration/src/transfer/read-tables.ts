import type { TableContent } from '../document/content.js';
import type { Layout, TableSpec } from '../layout/layout.js';
import type { Platform } from '../layout/platform.js';
import { DecimalReader } from './decimal-reader.js';
import { type Delimiter, readRows, type TextRow } from './delimited-text.js';
import { TableBlock } from './table-block.js';
import { TABLE_MARK } from './table-labels.js';
import { ProblemList, quoted, type Refused } from './transfer-problem.js';

/** A table as a file states it: all break points, but perhaps not every variant. */
export interface ReadTable {
  readonly tableId: string;
  /** Line of the file on which the table begins. */
  readonly line: number;
  readonly table: TableContent;
}

export interface TablesRead {
  readonly kind: 'read';
  readonly tables: readonly ReadTable[];
  /** How cells and decimals were told apart, in words. */
  readonly understood: string;
}

/** What begins a file of tables; the group is what parts its cells. */
const OPENING = /^\s*"?table"?[ ]*([,;\t])/i;

const DELIMITER_NAMES: Readonly<Record<Delimiter, string>> = { ',': 'commas', ';': 'semicolons', '\t': 'tabs' };

/** The delimiter of a text that begins like a file of tables, or null for another text. */
export function findDelimiter(text: string): Delimiter | null {
  return (OPENING.exec(text)?.[1] as Delimiter | undefined) ?? null;
}

/**
 * Reads what `writeTables` or `writeTable` wrote, also after a spreadsheet saved it: any line end, semicolons or tabs
 * with decimal commas, padded rows, variants in any order. Table, quantity, unit, axes and break points must be the
 * layout's (break points of editable axes may move), and every variant that is present must be whole.
 */
export function readTables(text: string, layout: Layout, platform: Platform): TablesRead | Refused {
  const problems = new ProblemList();
  const delimiter = findDelimiter(text);
  if (!delimiter) {
    problems.add(`expected a first line such as '${TABLE_MARK},id,quantity,unit'. Add it.`, { line: 1 });
    return problems.refusal();
  }
  const numbers = new DecimalReader(delimiter);
  const blocks = new Map<string, TableBlock>();
  let block: TableBlock | null = null;
  for (const { line, cells } of readRows(text, delimiter, problems)) {
    if (problems.isFull) break;
    const row = { line, cells: cells.map((cell) => cell.trim()) };
    if (row.cells[0].toLowerCase() === TABLE_MARK) {
      block = openBlock(row, layout, platform, numbers, problems);
      const before = block && blocks.get(block.spec.id);
      if (block && before) {
        problems.add(`table '${block.spec.id}' stands on line ${before.line} already. Remove one of the two.`, row);
      } else if (block) blocks.set(block.spec.id, block);
    } else block?.readRow(row, problems);
  }
  for (const open of blocks.values()) open.checkEnd(problems);
  if (!problems.isEmpty) return problems.refusal();
  const tables = [...blocks.values()].map((read) => ({
    tableId: read.spec.id,
    line: read.line,
    table: read.content(),
  }));
  const decimals = numbers.mark === ',' ? ', decimals by a comma' : '';
  return { kind: 'read', tables, understood: `Cells are parted by ${DELIMITER_NAMES[delimiter]}${decimals}.` };
}

/** Reads a file that holds this one table and no other. */
export function readTable(
  text: string,
  spec: TableSpec,
  layout: Layout,
  platform: Platform,
): { readonly kind: 'read'; readonly table: TableContent } | Refused {
  const read = readTables(text, layout, platform);
  if (read.kind === 'refused') return read;
  const problems = new ProblemList();
  for (const { tableId, line } of read.tables) {
    if (tableId === spec.id) continue;
    problems.add(`found table '${tableId}', expected only '${spec.id}'. Choose its own file.`, { line, tableId });
  }
  return problems.isEmpty ? { kind: 'read', table: read.tables[0].table } : problems.refusal();
}

/** The block that a `table` line begins, or null where the rest up to the next one is of no use. */
function openBlock(
  row: TextRow,
  layout: Layout,
  platform: Platform,
  numbers: DecimalReader,
  problems: ProblemList,
): TableBlock | null {
  const [, id = ''] = row.cells;
  const spec = layout.tables.find((table) => table.id === id);
  if (spec) return TableBlock.open(spec, platform, numbers, row, problems);
  const known = layout.tables.map((table) => table.id);
  const listed =
    known.length > 12 ? `${known.slice(0, 12).join(', ')} and ${known.length - 12} more` : known.join(', ');
  const message = `table ${quoted(id)} is not in layout version ${layout.version}, which has ${listed}. Mend the id.`;
  problems.add(message, { line: row.line });
  return null;
}

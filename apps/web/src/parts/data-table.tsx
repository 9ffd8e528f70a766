import { type ReactNode, useMemo } from 'react';
import classes from './data-table.module.css';
import { useGrowingRows } from './use-growing-rows.js';

/** One column: what it is called, its unit, and how a row fills it. */
export interface DataColumn<Row> {
  readonly id: string;
  readonly title: string;
  /** Written in the head; the cells then show numbers with the unit or without. */
  readonly unit?: string;
  /** Numbers stand to the right. */
  readonly isNumber?: boolean;
  /** Never breaks into lines. */
  readonly isShort?: boolean;
  readonly render: (row: Row) => ReactNode;
  /** Name of the order that the server knows; makes the head a button. */
  readonly sort?: string;
  /** Which way the server sorts by it; the largest or newest first unless said otherwise. */
  readonly sortDirection?: 'ascending' | 'descending';
  /** Plain value of the cell; where all rows have the same or none, the column hides itself. Left out, it always shows. */
  readonly distinct?: (row: Row) => string | number | null;
}

interface DataTableProps<Row> {
  /** What the table lists; read out, not shown. */
  readonly label: string;
  readonly columns: readonly DataColumn<Row>[];
  readonly rows: readonly Row[];
  readonly rowId: (row: Row) => string;
  readonly sort?: string;
  readonly onSort?: (sort: string) => void;
  /** Columns to show, by id; left out, those that are empty or constant are hidden. */
  readonly shown?: readonly string[] | undefined;
  readonly chosenRowId?: string | undefined;
}

/** Columns whose cells differ between the rows, or that always show. One row alone hides only what is empty. */
export function informativeColumnIds<Row>(columns: readonly DataColumn<Row>[], rows: readonly Row[]): string[] {
  return columns
    .filter(({ distinct }) => {
      if (distinct === undefined || rows.length === 0) return true;
      const values = new Set(rows.map(distinct));
      return rows.length === 1 ? !values.has(null) : values.size > 1;
    })
    .map((column) => column.id);
}

/** A list as a table; below 720 px each row becomes a card with its column names. A long one is drawn as it is read. */
export function DataTable<Row>(props: DataTableProps<Row>) {
  const { label, columns, rows, rowId, sort, onSort, shown, chosenRowId } = props;
  const visible = useMemo(() => {
    const ids = shown ?? informativeColumnIds(columns, rows);
    return columns.filter(({ id, sort: order }) => ids.includes(id) || (order !== undefined && order === sort));
  }, [columns, rows, shown, sort]);
  const chosenIndex = chosenRowId === undefined ? -1 : rows.findIndex((row) => rowId(row) === chosenRowId);
  const { count, end } = useGrowingRows(rows.length, chosenIndex);
  return (
    <div className={classes.scroll}>
      {/* Roles are written out because the card layout changes `display`, which takes them away. */}
      {/* oxlint-disable-next-line jsx-a11y/no-redundant-roles */}
      <table className={classes.table} role="table" aria-label={label} aria-rowcount={rows.length + 1}>
        <thead role="rowgroup">
          <tr role="row">
            {visible.map((column) => (
              <th
                key={column.id}
                role="columnheader"
                scope="col"
                className={cellClass(column)}
                aria-sort={
                  column.sort !== undefined && column.sort === sort ? (column.sortDirection ?? 'descending') : undefined
                }
              >
                <ColumnHead column={column} sort={sort} onSort={onSort} />
              </th>
            ))}
          </tr>
        </thead>
        <tbody role="rowgroup">
          {rows.slice(0, count).map((row) => (
            <tr key={rowId(row)} role="row" data-chosen={chosenRowId !== undefined && rowId(row) === chosenRowId}>
              {visible.map((column) => (
                <td key={column.id} role="cell" className={cellClass(column)}>
                  <span className={classes.label} aria-hidden="true">
                    {column.title}
                    {column.unit && ` (${column.unit})`}
                  </span>
                  <span>{column.render(row)}</span>
                </td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
      {count < rows.length && <div ref={end} />}
    </div>
  );
}

function cellClass<Row>({ isNumber, isShort }: DataColumn<Row>): string | undefined {
  if (isNumber) return classes.number;
  return isShort ? classes.short : undefined;
}

interface ColumnHeadProps<Row> {
  readonly column: DataColumn<Row>;
  readonly sort: string | undefined;
  readonly onSort: ((sort: string) => void) | undefined;
}

function ColumnHead<Row>({ column, sort, onSort }: ColumnHeadProps<Row>) {
  const text = (
    <>
      {column.title}
      {column.unit && <span className={classes.unit}> ({column.unit})</span>}
    </>
  );
  if (column.sort === undefined || onSort === undefined) return text;
  const order = column.sort;
  return (
    <button type="button" className={classes.sort} onClick={() => onSort(order)}>
      {text} <span aria-hidden="true">{order !== sort ? '⇅' : column.sortDirection === 'ascending' ? '↑' : '↓'}</span>
    </button>
  );
}

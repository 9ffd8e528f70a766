import type { ShiftColumn } from './shift-columns.js';
import classes from './shift-table.module.css';

interface ShiftTableHeadProps {
  readonly columns: readonly ShiftColumn[];
  readonly sort: string;
  readonly onSort: (sort: string) => void;
}

/** Heads that stay in sight; those of an order that the server knows are buttons. */
export function ShiftTableHead({ columns, sort, onSort }: ShiftTableHeadProps) {
  return (
    <>
      <colgroup>
        {columns.map(({ id, widthPx }) => (
          <col key={id} style={{ width: widthPx }} />
        ))}
      </colgroup>
      <thead role="rowgroup">
        <tr role="row" aria-rowindex={1}>
          {columns.map((column) => (
            <th
              key={column.id}
              role="columnheader"
              scope="col"
              className={column.isNumber ? classes.number : undefined}
              aria-sort={column.sort === sort ? 'descending' : undefined}
            >
              <Head column={column} isSorted={column.sort === sort} onSort={onSort} />
            </th>
          ))}
        </tr>
      </thead>
    </>
  );
}

interface HeadProps {
  readonly column: ShiftColumn;
  readonly isSorted: boolean;
  readonly onSort: (sort: string) => void;
}

function Head({ column: { title, unit, sort }, isSorted, onSort }: HeadProps) {
  const text = (
    <>
      {title}
      {unit && <span className={classes.unit}> ({unit})</span>}
    </>
  );
  if (sort === undefined) return text;
  return (
    <button type="button" className={classes.sort} onClick={() => onSort(sort)}>
      {text} <span aria-hidden="true">{isSorted ? '↓' : '⇅'}</span>
    </button>
  );
}

import { VisuallyHidden } from '@mantine/core';
import type { CSSProperties, KeyboardEvent, ReactNode } from 'react';
import { axisName, type GridAxis, nodeText } from './grid-axis.js';
import { type GridPlace, placeAfterKey } from './grid-place.js';
import classes from './value-grid.module.css';

export interface GridCell {
  /** The number; its unit stands with the grid. */
  readonly text: string;
  /** A second, smaller line. */
  readonly note?: ReactNode;
  readonly background: string;
  readonly ink: string;
  /** Thin evidence: hatching in the ink of the cell, never another hue. */
  readonly isHatched?: boolean;
  /** Something was found about this cell: a notch in its corner. */
  readonly isNotched?: boolean;
  /** Somebody commented on this cell: a dot in its corner. */
  readonly isCommented?: boolean;
  /** The whole cell in words, with units: what is read out in place of number and note. */
  readonly description: string;
  /** Every digit, for hover. */
  readonly title: string;
}

interface ValueGridProps {
  readonly label: string;
  /** Slow axis, down; left out for a table of one axis. */
  readonly rowAxis?: GridAxis | undefined;
  /** Fast axis, across; left out for a single value. */
  readonly columnAxis?: GridAxis | undefined;
  readonly cellAt: (place: GridPlace) => GridCell;
  readonly chosen: GridPlace;
  /** The focus came to a cell, by key or by pointer. */
  readonly onChoose: (place: GridPlace) => void;
  /** Enter was pressed on a cell, or it was clicked twice. */
  readonly onOpen?: ((place: GridPlace) => void) | undefined;
}

const WIDEST_CELL_PX = 112;
const WIDEST_HEAD_PX = 96;

/** Values on the nodes of up to two axes. One cell takes the focus; arrow keys move it as in a spreadsheet. */
export function ValueGrid({ label, rowAxis, columnAxis, cellAt, chosen, onChoose, onOpen }: ValueGridProps) {
  const rowNodes = rowAxis?.breakpoints ?? [Number.NaN];
  const columnNodes = columnAxis?.breakpoints ?? [Number.NaN];
  const size = { rows: rowNodes.length, columns: columnNodes.length };
  const onKeyDown = (event: KeyboardEvent<HTMLTableElement>) => {
    if (event.key === 'Enter') onOpen?.(chosen);
    const next = placeAfterKey(chosen, size, event.key, event.ctrlKey || event.metaKey);
    if (next === undefined) return;
    event.preventDefault();
    event.currentTarget.querySelector<HTMLElement>(`[data-place="${next.row} ${next.column}"]`)?.focus();
  };
  return (
    <div className={classes.scroll}>
      <table
        role="grid"
        aria-label={label}
        className={classes.grid}
        style={widthOf(size.columns)}
        onKeyDown={onKeyDown}
      >
        {columnAxis !== undefined && <ColumnHeads rowAxis={rowAxis} columnAxis={columnAxis} />}
        <tbody role="rowgroup">
          {rowNodes.map((node, row) => (
            <tr key={node} role="row">
              {rowAxis !== undefined && (
                <th role="rowheader" scope="row">
                  {nodeText(node)}
                </th>
              )}
              {columnNodes.map((columnNode, column) => (
                <Cell
                  key={columnNode}
                  place={{ row, column }}
                  cell={cellAt({ row, column })}
                  isChosen={row === chosen.row && column === chosen.column}
                  onChoose={onChoose}
                  onOpen={onOpen}
                />
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

/** Cells share the width that there is, but do not spread farther than the eye can hold together. */
function widthOf(columns: number): CSSProperties {
  return { maxWidth: columns * WIDEST_CELL_PX + WIDEST_HEAD_PX };
}

function ColumnHeads({
  rowAxis,
  columnAxis,
}: {
  readonly rowAxis: GridAxis | undefined;
  readonly columnAxis: GridAxis;
}) {
  return (
    <thead role="rowgroup">
      <tr role="row">
        {rowAxis !== undefined && (
          <th role="columnheader" scope="col" rowSpan={2} className={classes.corner}>
            {axisName(rowAxis)}
          </th>
        )}
        <th role="columnheader" scope="colgroup" colSpan={columnAxis.breakpoints.length} className={classes.axis}>
          {axisName(columnAxis)}
        </th>
      </tr>
      <tr role="row">
        {columnAxis.breakpoints.map((node) => (
          <th key={node} role="columnheader" scope="col" style={{ width: `${100 / columnAxis.breakpoints.length}%` }}>
            {nodeText(node)}
          </th>
        ))}
      </tr>
    </thead>
  );
}

interface CellProps {
  readonly place: GridPlace;
  readonly cell: GridCell;
  readonly isChosen: boolean;
  readonly onChoose: (place: GridPlace) => void;
  readonly onOpen: ((place: GridPlace) => void) | undefined;
}

function Cell({ place, cell, isChosen, onChoose, onOpen }: CellProps) {
  const looks = [
    classes.cell,
    cell.isHatched && classes.hatched,
    cell.isNotched && classes.notched,
    cell.isCommented && classes.commented,
  ];
  return (
    <td
      role="gridcell"
      tabIndex={isChosen ? 0 : -1}
      aria-selected={isChosen}
      title={cell.title}
      data-place={`${place.row} ${place.column}`}
      className={looks.filter(Boolean).join(' ')}
      style={{ backgroundColor: cell.background, color: cell.ink }}
      onFocus={() => isChosen || onChoose(place)}
      onDoubleClick={() => onOpen?.(place)}
    >
      <span className={classes.number} aria-hidden="true">
        {cell.text}
      </span>
      {cell.note !== undefined && (
        <span className={classes.note} aria-hidden="true">
          {cell.note}
        </span>
      )}
      <VisuallyHidden>{cell.description}</VisuallyHidden>
    </td>
  );
}

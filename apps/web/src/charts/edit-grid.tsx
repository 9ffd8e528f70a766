import {
  type HTMLAttributes,
  memo,
  type ReactNode,
  type Ref,
  type RefObject,
  useEffect,
  useLayoutEffect,
  useRef,
  useState,
} from 'react';
import classes from './edit-grid.module.css';
import { axisName, type GridAxis, nodeText } from './grid-axis.js';
import type { GridPlace, GridSize } from './grid-place.js';
import { indicesOf, scrollTo, type WindowSpan, windowSpan } from './grid-window.js';

/** What one cell shows. Only plain values, so that a cell that stays the same is not drawn again. */
export interface EditCell {
  readonly text: string;
  readonly background: string;
  readonly ink: string;
  /** Differs from what it is compared with: a bar at its left edge. */
  readonly isChanged: boolean;
  /** Something was found here: a filled notch, or an open square for a warning. */
  readonly finding: 'blocking' | 'warning' | null;
  /** Somebody commented on it: a dot. */
  readonly isCommented: boolean;
}

export interface CellRectangle {
  readonly startRow: number;
  readonly endRow: number;
  readonly startColumn: number;
  readonly endColumn: number;
}

interface EditGridProps {
  readonly label: string;
  /** Id of the element that says how the keys work. */
  readonly describedBy: string;
  readonly rowAxis: GridAxis | undefined;
  readonly columnAxis: GridAxis | undefined;
  readonly size: GridSize;
  /** Widest text of a cell, in characters. */
  readonly textWidth: number;
  readonly cellAt: (place: GridPlace) => EditCell;
  /** The active cell in words: its place, its value with unit, and what was found there. */
  readonly activeWords: string;
  readonly active: GridPlace;
  readonly selected: CellRectangle;
  readonly isReadOnly: boolean;
  /** Laid over the active cell, for instance a field that is typed into. */
  readonly overlay: ReactNode;
  /** Of the element that takes the focus: keys, clipboard. */
  readonly handlers: HTMLAttributes<HTMLDivElement>;
  /** The pointer went down on, or was dragged to, a cell. */
  readonly onPoint: (place: GridPlace, how: 'begin' | 'extend') => void;
  readonly onOpen: (place: GridPlace) => void;
  /** A break point was clicked twice. */
  readonly onOpenAxis: (axis: 'row' | 'column', node: number) => void;
  readonly gridRef: Ref<HTMLDivElement>;
}

const ROW_HEIGHT_PX = 27;
const HEAD_HEIGHT_PX = 27;
const CHARACTER_PX = 7.6;
const CELL_ROOM_PX = 16;
const WIDEST_CELL_PX = 104;
const TALLEST_BOX_PX = 640;
/** Left and right line of the box, and room for the frame of a selection. */
const BORDERS_PX = 4;

/**
 * A grid of values for the keyboard. The grid itself holds the focus and names its active cell; only the cells in sight
 * are in the page, so that a table of 64 × 64 is as quick as a small one.
 */
export function EditGrid(props: EditGridProps) {
  const { label, describedBy, rowAxis, columnAxis, size, textWidth, cellAt, activeWords, active, selected } = props;
  const { isReadOnly, overlay, handlers, onPoint, onOpen, onOpenAxis, gridRef } = props;
  const frame = useRef<HTMLDivElement>(null);
  const box = useRef<HTMLDivElement>(null);
  const view = useScrolledBox(frame, box);
  const headWidth = rowAxis === undefined ? 0 : headWidthOf(rowAxis);
  const headHeight = columnAxis === undefined ? 0 : HEAD_HEIGHT_PX;
  const cellWidth = cellWidthOf({ size, textWidth, columnAxis }, view.width - headWidth);
  const sheetWidth = headWidth + size.columns * cellWidth;
  const sheetHeight = headHeight + size.rows * ROW_HEIGHT_PX;
  const rows = windowSpan(view.top, view.height - headHeight, ROW_HEIGHT_PX, size.rows);
  const columns = windowSpan(view.left, view.width - headWidth, cellWidth, size.columns);

  useLayoutEffect(() => {
    const element = box.current;
    if (element === null || element.clientWidth === 0) return;
    const { clientWidth, clientHeight, scrollLeft, scrollTop } = element;
    const left = scrollTo(scrollLeft, clientWidth - headWidth, cellWidth, active.column);
    const top = scrollTo(scrollTop, clientHeight - headHeight, ROW_HEIGHT_PX, active.row);
    if (left !== scrollLeft || top !== scrollTop) element.scrollTo({ left, top });
  }, [active, headWidth, headHeight, cellWidth]);

  const pointing = usePointing({ onPoint, onOpen });
  const geometry: Geometry = { headWidth, headHeight, cellWidth };
  return (
    <div ref={frame} className={classes.frame}>
      {rowAxis !== undefined && columnAxis !== undefined && (
        <div className={classes.axisNames} aria-hidden="true">
          <span>↓ {axisName(rowAxis)}</span> <span>→ {axisName(columnAxis)}</span>
        </div>
      )}
      <div className={classes.place}>
        <div ref={box} className={classes.box} style={{ maxHeight: TALLEST_BOX_PX }}>
          <div
            ref={gridRef}
            role="grid"
            tabIndex={0}
            aria-label={label}
            aria-describedby={describedBy}
            aria-rowcount={size.rows + (columnAxis === undefined ? 0 : 1)}
            aria-colcount={size.columns + (rowAxis === undefined ? 0 : 1)}
            aria-multiselectable="true"
            aria-readonly={isReadOnly}
            aria-activedescendant={cellId(active)}
            className={classes.grid}
            style={{ width: sheetWidth, height: sheetHeight }}
            {...handlers}
            {...pointing}
          >
            {columnAxis !== undefined && (
              <ColumnHeads
                rowAxis={rowAxis}
                columnAxis={columnAxis}
                columns={columns}
                active={active.column}
                geometry={geometry}
                onOpenAxis={onOpenAxis}
              />
            )}
            <div role="rowgroup">
              {indicesOf(rows, active.row).map((row) => (
                <Row
                  key={row}
                  row={row}
                  columns={columns}
                  geometry={geometry}
                  rowAxis={rowAxis}
                  columnAxis={columnAxis}
                  cellAt={cellAt}
                  active={active}
                  selected={selected}
                  activeWords={activeWords}
                  onOpenAxis={onOpenAxis}
                />
              ))}
            </div>
          </div>
          <Outline className={classes.selection} rectangle={selected} geometry={geometry} />
        </div>
        {overlay !== null && (
          <div className={classes.overlay} style={overlayStyle(active, geometry, view)}>
            {overlay}
          </div>
        )}
      </div>
    </div>
  );
}

interface Geometry {
  readonly headWidth: number;
  readonly headHeight: number;
  readonly cellWidth: number;
}

/** Id of a cell in the page; there is one such grid on a page. */
function cellId({ row, column }: GridPlace): string {
  return `cell-${row}-${column}`;
}

function headWidthOf(axis: GridAxis): number {
  const longest = Math.max(...axis.breakpoints.map((node) => nodeText(node).length));
  return Math.max(44, Math.ceil(longest * CHARACTER_PX + CELL_ROOM_PX));
}

/** Cells share the room that there is, not narrower than their text and not wider than the eye can hold together. */
function cellWidthOf(
  { size, textWidth, columnAxis }: Pick<EditGridProps, 'size' | 'textWidth' | 'columnAxis'>,
  room: number,
): number {
  const longestNode = Math.max(...(columnAxis?.breakpoints ?? [0]).map((node) => nodeText(node).length));
  const narrowest = Math.ceil(Math.max(textWidth, longestNode) * CHARACTER_PX + CELL_ROOM_PX);
  return Math.max(narrowest, Math.min(WIDEST_CELL_PX, Math.floor(room / size.columns)));
}

interface ScrolledBox {
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
}

/** Room that a frame gives, and what of it a box shows that scrolls within. */
function useScrolledBox(frame: RefObject<HTMLDivElement | null>, box: RefObject<HTMLDivElement | null>): ScrolledBox {
  const [view, setView] = useState<ScrolledBox>({ left: 0, top: 0, width: 720, height: TALLEST_BOX_PX });
  useEffect(() => {
    const [outer, inner] = [frame.current, box.current];
    if (outer === null || inner === null) return;
    const read = () =>
      setView({
        left: inner.scrollLeft,
        top: inner.scrollTop,
        width: outer.clientWidth - BORDERS_PX,
        height: TALLEST_BOX_PX,
      });
    read();
    const observer = new ResizeObserver(read);
    observer.observe(outer);
    inner.addEventListener('scroll', read, { passive: true });
    return () => {
      observer.disconnect();
      inner.removeEventListener('scroll', read);
    };
  }, [frame, box]);
  return view;
}

/** Pointer handlers of the grid: a mouse or pen drags a rectangle; a finger scrolls, and its tap chooses one cell. */
function usePointing({ onPoint, onOpen }: Pick<EditGridProps, 'onPoint' | 'onOpen'>): HTMLAttributes<HTMLDivElement> {
  const isDragging = useRef(false);
  const lastPlace = useRef('');
  const point = (target: EventTarget | null, how: 'begin' | 'extend') => {
    const name = target instanceof Element ? target.closest<HTMLElement>('[data-place]')?.dataset['place'] : undefined;
    if (name === undefined || (how === 'extend' && name === lastPlace.current)) return;
    lastPlace.current = name;
    onPoint(placeFrom(name), how);
  };
  return {
    onPointerDown: (event) => {
      if (event.pointerType === 'touch' || event.button !== 0) return;
      isDragging.current = true;
      point(event.target, event.shiftKey ? 'extend' : 'begin');
    },
    onPointerMove: (event) => {
      if (isDragging.current && event.buttons === 0) isDragging.current = false;
      if (isDragging.current) point(document.elementFromPoint(event.clientX, event.clientY), 'extend');
    },
    onPointerUp: () => {
      isDragging.current = false;
    },
    onClick: (event) => {
      if ((event.nativeEvent as PointerEvent).pointerType === 'touch') point(event.target, 'begin');
    },
    onDoubleClick: (event) => {
      const name = (event.target as Element).closest<HTMLElement>('[data-place]')?.dataset['place'];
      if (name !== undefined) onOpen(placeFrom(name));
    },
  };
}

function placeFrom(name: string): GridPlace {
  const [row = 0, column = 0] = name.split(' ').map(Number);
  return { row, column };
}

interface ColumnHeadsProps {
  readonly rowAxis: GridAxis | undefined;
  readonly columnAxis: GridAxis;
  readonly columns: WindowSpan;
  /** Column of the active cell, always drawn. */
  readonly active: number;
  readonly geometry: Geometry;
  readonly onOpenAxis: EditGridProps['onOpenAxis'];
}

const ColumnHeads = memo(function ColumnHeads(props: ColumnHeadsProps) {
  const { rowAxis, columnAxis, columns, active, geometry, onOpenAxis } = props;
  const shift = rowAxis === undefined ? 1 : 2;
  return (
    <div role="rowgroup" className={classes.heads} style={{ height: geometry.headHeight }}>
      <div role="row" aria-rowindex={1}>
        {rowAxis !== undefined && (
          <div
            role="columnheader"
            aria-colindex={1}
            aria-label={`${axisName(rowAxis)} down, ${axisName(columnAxis)} across`}
            className={classes.corner}
            style={{ width: geometry.headWidth, height: geometry.headHeight }}
          />
        )}
        {indicesOf(columns, active).map((column) => (
          <div
            key={column}
            role="columnheader"
            aria-colindex={column + shift}
            className={column === active ? classes.activeHead : classes.head}
            style={{
              left: geometry.headWidth + column * geometry.cellWidth,
              width: geometry.cellWidth,
              height: geometry.headHeight,
            }}
            onDoubleClick={() => onOpenAxis('column', column)}
          >
            {nodeText(columnAxis.breakpoints[column] ?? Number.NaN)}
          </div>
        ))}
      </div>
    </div>
  );
});

interface RowProps
  extends Pick<
    EditGridProps,
    'rowAxis' | 'columnAxis' | 'cellAt' | 'active' | 'selected' | 'activeWords' | 'onOpenAxis'
  > {
  readonly row: number;
  readonly columns: WindowSpan;
  readonly geometry: Geometry;
}

function Row(props: RowProps) {
  const { row, columns, geometry, rowAxis, columnAxis, cellAt, active, selected, activeWords, onOpenAxis } = props;
  const isActiveRow = row === active.row;
  const isInRows = row >= selected.startRow && row < selected.endRow;
  return (
    <div
      role="row"
      aria-rowindex={row + (columnAxis === undefined ? 1 : 2)}
      className={classes.row}
      style={{ top: geometry.headHeight + row * ROW_HEIGHT_PX, height: ROW_HEIGHT_PX }}
    >
      {rowAxis !== undefined && (
        <div
          role="rowheader"
          aria-colindex={1}
          className={isActiveRow ? classes.activeHead : classes.head}
          style={{ width: geometry.headWidth, height: ROW_HEIGHT_PX }}
          onDoubleClick={() => onOpenAxis('row', row)}
        >
          {nodeText(rowAxis.breakpoints[row] ?? Number.NaN)}
        </div>
      )}
      {(isActiveRow ? indicesOf(columns, active.column) : indicesOf(columns, columns.start)).map((column) => {
        const isActive = isActiveRow && column === active.column;
        return (
          <Cell
            key={column}
            row={row}
            column={column}
            columnIndex={column + (rowAxis === undefined ? 1 : 2)}
            left={geometry.headWidth + column * geometry.cellWidth}
            width={geometry.cellWidth}
            isSelected={isInRows && column >= selected.startColumn && column < selected.endColumn}
            words={isActive ? activeWords : undefined}
            {...cellAt({ row, column })}
          />
        );
      })}
    </div>
  );
}

interface CellProps extends EditCell {
  readonly row: number;
  readonly column: number;
  readonly columnIndex: number;
  readonly left: number;
  readonly width: number;
  readonly isSelected: boolean;
  /** The cell in words; only the active one needs them. */
  readonly words: string | undefined;
}

const Cell = memo(function Cell(props: CellProps) {
  const { row, column, columnIndex, left, width, isSelected, words, text, background, ink } = props;
  const looks = [
    classes.cell,
    props.isChanged && classes.changed,
    props.finding !== null && classes[props.finding],
    props.isCommented && classes.commented,
    words !== undefined && classes.active,
  ];
  return (
    <div
      role="gridcell"
      id={cellId({ row, column })}
      aria-colindex={columnIndex}
      aria-selected={isSelected}
      aria-label={words}
      data-place={`${row} ${column}`}
      className={looks.filter(Boolean).join(' ')}
      style={{ left, width, height: ROW_HEIGHT_PX, backgroundColor: background, color: ink }}
    >
      {text}
    </div>
  );
});

interface OutlineProps {
  readonly className: string | undefined;
  readonly rectangle: CellRectangle;
  readonly geometry: Geometry;
}

/** A frame around a rectangle of cells. */
function Outline({ className, rectangle, geometry }: OutlineProps) {
  const { startRow, endRow, startColumn, endColumn } = rectangle;
  const { headWidth, headHeight, cellWidth } = geometry;
  return (
    <div
      aria-hidden="true"
      className={className}
      style={{
        left: headWidth + startColumn * cellWidth,
        top: headHeight + startRow * ROW_HEIGHT_PX,
        width: (endColumn - startColumn) * cellWidth,
        height: (endRow - startRow) * ROW_HEIGHT_PX,
      }}
    />
  );
}

const OVERLAY_WIDTH_PX = 190;

/** Over the active cell as far as the box is scrolled; near the right edge it opens to the left. */
function overlayStyle({ row, column }: GridPlace, { headWidth, headHeight, cellWidth }: Geometry, view: ScrolledBox) {
  const left = headWidth + column * cellWidth - view.left;
  return {
    top: headHeight + row * ROW_HEIGHT_PX - view.top,
    left: Math.max(0, Math.min(left, view.width - OVERLAY_WIDTH_PX)),
    width: OVERLAY_WIDTH_PX,
  };
}

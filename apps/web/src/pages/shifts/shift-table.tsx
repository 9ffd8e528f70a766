import type { ShiftRow } from '@syncline/contract';
import { elementScroll, observeElementRect, useVirtualizer } from '@tanstack/react-virtual';
import { useLayoutEffect, useRef } from 'react';
import type { ShiftListing } from '../../api/shifts.js';
import { formatCount } from '../../format/quantity.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { afterFirstPaint, hasFirstPaint, useOncePainted } from '../../parts/use-once-painted.js';
import type { ShiftColumn } from './shift-columns.js';
import { reachableRows } from './shift-places.js';
import classes from './shift-table.module.css';
import { ShiftTableHead } from './shift-table-head.js';
import { useFocusInside, useRowKeys } from './table-keys.js';
import { useShiftPlaces, useShiftRows } from './use-shift-rows.js';

/** First guess of the height of a row, and of a card on a narrow page (px); each is measured when it is drawn. */
const ROW_HEIGHT_PX = 31;
const CARD_ROW_HEIGHT_PX = 24;
/** Rows drawn beyond those in sight, so that arrow and tab keys find the next one. */
const OVERSCAN = 8;
/** How much of the window the first rows fill at most: above them are the heads and a plot. */
const FIRST_SHARE = 0.5;

interface ShiftTableProps {
  /** The table begins anew when its listing changes: give it a key. */
  readonly listing: ShiftListing;
  readonly columns: readonly ShiftColumn[];
  readonly totalCount: number;
  /** Rows as cards, on a narrow page. */
  readonly isCards: boolean;
  readonly onSort: (sort: string) => void;
}

/**
 * Every shift that matches, in one list that draws only what is in sight and holds only the pages around it. Pages are
 * read in their order by cursor: the list grows as its end comes near.
 */
export function ShiftTable({ listing, columns, totalCount, isCards, onSort }: ShiftTableProps) {
  const scroll = useRef<HTMLDivElement>(null);
  const isPainted = useOncePainted();
  const { places, setPlaces, keep } = useShiftPlaces(listing);
  // oxlint-disable-next-line react/incompatible-library -- nothing memoised is handed its functions
  const rows = useVirtualizer({
    count: Math.min(reachableRows(places), totalCount),
    getScrollElement: () => scroll.current,
    estimateSize: () => (isCards ? CARD_ROW_HEIGHT_PX * columns.length : ROW_HEIGHT_PX),
    // Those in sight first: to measure the list or a row, the page would be laid out before it is whole.
    overscan: isPainted ? OVERSCAN : 0,
    initialRect: { width: 0, height: FIRST_SHARE * window.innerHeight },
    observeElementRect: observeOncePainted,
    scrollToFn: scrollOncePainted,
    initialOffset: places.offsetPx,
  });
  const drawn = rows.getVirtualItems();
  const first = drawn[0]?.index ?? 0;
  const last = drawn.at(-1)?.index ?? 0;
  const { rowAt, error, retry } = useShiftRows(listing, { places, setPlaces, first, last });
  // Before the list leaves the page: afterwards it is no longer scrolled.
  useLayoutEffect(() => {
    const element = scroll.current;
    return () => keep(element?.scrollTop ?? 0);
  }, [keep]);
  useFocusInside(scroll, first);
  const moveToRow = useRowKeys({ list: scroll, rowCount: rows.options.count, bring: rows.scrollToIndex });
  const before = drawn[0]?.start ?? 0;
  const after = rows.getTotalSize() - (drawn.at(-1)?.end ?? 0);
  return (
    <>
      {error !== null && <ProblemNotice error={error} onRetry={retry} />}
      <div
        ref={scroll}
        className={classes.scroll}
        // oxlint-disable-next-line jsx-a11y/no-noninteractive-tabindex -- what scrolls must be reachable by keys
        tabIndex={0}
        role="region"
        aria-label="List of shifts"
        onKeyDown={moveToRow}
      >
        {/* Roles are written out because the card layout changes `display`, which takes them away. */}
        {/* oxlint-disable-next-line jsx-a11y/no-redundant-roles */}
        <table className={classes.table} role="table" aria-label="Shifts" aria-rowcount={totalCount + 1}>
          <ShiftTableHead columns={columns} sort={listing.sort} onSort={onSort} />
          <tbody role="rowgroup">
            <Space heightPx={before} />
            {drawn.map(({ index, key }) => (
              <tr
                key={key}
                ref={isPainted ? rows.measureElement : undefined}
                data-index={index}
                role="row"
                aria-rowindex={index + 2}
                className={classes.row}
              >
                <Cells shift={rowAt(index)} columns={columns} />
              </tr>
            ))}
            <Space heightPx={after} />
          </tbody>
        </table>
      </div>
      <p className={classes.place}>
        <InSight scrolled={rows.range} totalCount={totalCount} />
      </p>
    </>
  );
}

/** The list of a first page is at its top, or where the browser left it before it was loaded anew. */
const scrollOncePainted: typeof elementScroll = (...to) => {
  if (hasFirstPaint()) elementScroll(...to);
};

/** How high the list is, told once it is on the screen. */
const observeOncePainted: typeof observeElementRect = (rows, tell) => {
  let stop: (() => void) | void;
  const forget = afterFirstPaint(() => {
    stop = observeElementRect(rows, tell);
  });
  return () => {
    forget();
    stop?.();
  };
};

/** The room of the rows that are not drawn. */
function Space({ heightPx }: { readonly heightPx: number }) {
  return (
    <tr aria-hidden="true">
      <td style={{ height: heightPx, padding: 0 }} />
    </tr>
  );
}

interface CellsProps {
  readonly shift: ShiftRow | undefined;
  readonly columns: readonly ShiftColumn[];
}

function Cells({ shift, columns }: CellsProps) {
  return columns.map((column) => (
    <td key={column.id} role="cell" className={column.isNumber ? classes.number : undefined}>
      <span className={classes.label} aria-hidden="true">
        {column.title}
        {column.unit && ` (${column.unit})`}
      </span>
      <span className={classes.value}>{shift === undefined ? '…' : column.render(shift)}</span>
    </td>
  ));
}

interface InSightProps {
  readonly scrolled: { readonly startIndex: number; readonly endIndex: number } | null;
  readonly totalCount: number;
}

/** Which rows are in sight, of how many. */
function InSight({ scrolled, totalCount }: InSightProps) {
  if (scrolled === null) return null;
  return (
    <>
      Rows {formatCount(scrolled.startIndex + 1)} to {formatCount(Math.min(scrolled.endIndex + 1, totalCount))} of{' '}
      {formatCount(totalCount)}
    </>
  );
}

/** Indices of the rows or columns that are drawn: `start` inclusive, `end` exclusive. */
export interface WindowSpan {
  readonly start: number;
  readonly end: number;
}

/** Rows or columns drawn beyond either edge, so that a small step of scrolling shows no gap. */
const MARGIN = 1;

/** The cells along one side that a scrolled box shows. All sizes in px; cells are equally large. */
export function windowSpan(scroll: number, visible: number, cellSize: number, count: number): WindowSpan {
  const start = Math.max(0, Math.floor(scroll / cellSize) - MARGIN);
  const end = Math.min(count, Math.ceil((scroll + visible) / cellSize) + MARGIN);
  return { start: Math.min(start, count), end: Math.max(end, Math.min(start, count)) };
}

/** Where a box must be scrolled to along one side so that a cell is wholly in sight; as little as possible (px). */
export function scrollTo(scroll: number, visible: number, cellSize: number, index: number): number {
  const start = index * cellSize;
  if (start < scroll) return start;
  return Math.max(scroll, start + cellSize - visible);
}

/** Every index of the span and the one that must always be drawn, in rising order. */
export function indicesOf({ start, end }: WindowSpan, always: number): number[] {
  const indices = Array.from({ length: end - start }, (_, i) => start + i);
  if (always >= start && always < end) return indices;
  return always < start ? [always, ...indices] : [...indices, always];
}

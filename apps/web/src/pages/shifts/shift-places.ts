import { SHIFT_PAGE_SIZE } from '../../api/shift-page-size.js';

/**
 * Where the pages of one listing begin, as far as they are known: the first has no cursor, each further one has that
 * which the page before it named. A few bytes for each page, so that a list of any length can be scrolled back.
 */
export interface ShiftPlaces {
  readonly cursors: readonly (string | undefined)[];
  /** Rows of the last page once it is known, so that the end can be told. */
  readonly lastPageCount: number | null;
  /** How far the list was scrolled when it was left (px). */
  readonly offsetPx: number;
}

export const FIRST_PLACE: ShiftPlaces = { cursors: [undefined], lastPageCount: null, offsetPx: 0 };

/** What a page says of where the list goes on. */
interface PageSeen {
  readonly itemCount: number;
  readonly nextCursor: string | null;
}

/**
 * The places after one page has been read. When a page ends elsewhere than before, because rows were added in front,
 * what followed it is forgotten: those pages would repeat or leave out rows. The same object when nothing changed.
 */
export function withPage(places: ShiftPlaces, page: number, { itemCount, nextCursor }: PageSeen): ShiftPlaces {
  const { cursors, lastPageCount } = places;
  if (nextCursor === null) {
    if (cursors.length === page + 1 && lastPageCount === itemCount) return places;
    return { ...places, cursors: cursors.slice(0, page + 1), lastPageCount: itemCount };
  }
  if (cursors[page + 1] === nextCursor) return places;
  return { ...places, cursors: [...cursors.slice(0, page + 1), nextCursor], lastPageCount: null };
}

/** Rows that can be scrolled to now: all of the known pages, those not read yet as full as any. */
export function reachableRows({ cursors, lastPageCount }: ShiftPlaces): number {
  return (cursors.length - 1) * SHIFT_PAGE_SIZE + (lastPageCount ?? SHIFT_PAGE_SIZE);
}

/** The known pages that rows `first` to `last`, both included, lie on. */
export function pagesOf({ cursors }: ShiftPlaces, first: number, last: number): number[] {
  const from = Math.floor(first / SHIFT_PAGE_SIZE);
  const to = Math.min(cursors.length - 1, Math.floor(last / SHIFT_PAGE_SIZE));
  return Array.from({ length: Math.max(0, to - from + 1) }, (_, step) => from + step);
}

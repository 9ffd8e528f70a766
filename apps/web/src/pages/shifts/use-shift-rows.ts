import type { ShiftRow } from '@syncline/contract';
import { useQueries, useQueryClient } from '@tanstack/react-query';
import { startTransition, useCallback, useEffect, useRef, useState } from 'react';
import { SHIFT_PAGE_SIZE } from '../../api/shift-page-size.js';
import { type ShiftListing, shiftQueries } from '../../api/shifts.js';
import { FIRST_PLACE, pagesOf, type ShiftPlaces, withPage } from './shift-places.js';

/**
 * Where the pages of a listing begin. What is known of it, and how far the list was scrolled, outlives the page, so
 * that “back” from a drive leads to the same rows.
 */
export function useShiftPlaces(listing: ShiftListing) {
  const client = useQueryClient();
  const [places, setPlaces] = useState<ShiftPlaces>(
    () => client.getQueryData<ShiftPlaces>(placesKey(listing)) ?? FIRST_PLACE,
  );
  const latest = useRef(places);
  useEffect(() => {
    latest.current = places;
  }, [places]);
  const keep = useCallback(
    (offsetPx: number): void => {
      client.setQueryData(placesKey(listing), { ...latest.current, offsetPx });
    },
    [client, listing],
  );
  return { places, setPlaces, keep };
}

function placesKey(listing: ShiftListing) {
  return ['shifts', 'places', listing];
}

interface RowsInSight {
  readonly places: ShiftPlaces;
  readonly setPlaces: (change: (places: ShiftPlaces) => ShiftPlaces) => void;
  /** Indices of the first and the last row that are drawn. */
  readonly first: number;
  readonly last: number;
}

/** The rows that are drawn. Only their pages are held; each that comes in tells where the next one begins. */
export function useShiftRows(listing: ShiftListing, { places, setPlaces, first, last }: RowsInSight) {
  const pages = pagesOf(places, first, last);
  const answers = useQueries({
    queries: pages.map((page) => shiftQueries.page(listing, places.cursors[page])),
  });
  const seen = answers.map(({ data }) => data);
  useEffect(() => {
    // The rows that came stand there first; where those behind them begin is of use later.
    startTransition(() =>
      setPlaces((known) =>
        pages.reduce((found, page, at) => {
          const answer = seen[at];
          if (answer === undefined || page >= found.cursors.length) return found;
          return withPage(found, page, { itemCount: answer.items.length, nextCursor: answer.nextCursor });
        }, known),
      ),
    );
  });
  const failed = answers.find(({ error }) => error !== null);
  return {
    /** Undefined while its page is on the way. */
    rowAt: (index: number): ShiftRow | undefined => {
      const at = pages.indexOf(Math.floor(index / SHIFT_PAGE_SIZE));
      return seen[at]?.items[index % SHIFT_PAGE_SIZE];
    },
    error: failed?.error ?? null,
    retry: () => void failed?.refetch(),
  };
}

import { useNavigate, useParams, useSearch } from '@tanstack/react-router';
import { useCallback, useEffect, useRef, useState } from 'react';
import type { DraftSearch } from './draft-search.js';
import { type GridSelection, oneCell } from './model/grid-selection.js';

/** The table that is looked at, and the cells that are selected in it. */
export interface DraftView {
  readonly tableId: string | undefined;
  readonly variant: string | undefined;
  readonly selection: GridSelection;
}

/** Pause after which a moved cell is written into the address: browsers refuse a new address at every key (ms). */
const WRITE_DELAY_MS = 300;

/**
 * What the Draft page looks at. The page is ahead of its address: keys move at once, the address follows; a link or the
 * browser's “back” moves the page.
 */
export function useDraftView() {
  const { draftId } = useParams({ from: '/house/drafts/$draftId' });
  const search = useSearch({ from: '/house/drafts/$draftId' });
  const navigate = useNavigate();
  const [view, setView] = useState<DraftView>(() => viewOf(search));
  /** The part of the address that the page wrote last; anything else came from outside. */
  const written = useRef(keyOf(search));
  const timer = useRef<ReturnType<typeof setTimeout>>(undefined);

  useEffect(() => {
    const key = keyOf(search);
    if (key === written.current) return;
    clearTimeout(timer.current);
    written.current = key;
    setView(viewOf(search));
  }, [search]);
  useEffect(() => () => clearTimeout(timer.current), []);

  const change = useCallback(
    (part: Partial<DraftSearch>, replace = true) =>
      void navigate({
        to: '/drafts/$draftId',
        params: { draftId },
        search: (now) => ({ ...now, ...part }),
        replace,
        resetScroll: false,
      }),
    [navigate, draftId],
  );

  const write = useCallback(
    (next: DraftView, replace: boolean) => {
      clearTimeout(timer.current);
      const part = searchOf(next);
      written.current = keyOf(part);
      change(part, replace);
    },
    [change],
  );

  /** Moves within the table. */
  const select = useCallback(
    (selection: GridSelection) => {
      setView((now) => {
        const next = { ...now, selection };
        clearTimeout(timer.current);
        timer.current = setTimeout(() => write(next, true), WRITE_DELAY_MS);
        return next;
      });
    },
    [write],
  );

  /** Goes to a place anywhere in the draft; the browser's “back” returns. */
  const show = useCallback(
    (next: DraftView) => {
      setView(next);
      write(next, false);
    },
    [write],
  );

  return { draftId, search, view, select, show, change };
}

function viewOf({ table, variant, row = 0, column = 0 }: DraftSearch): DraftView {
  return { tableId: table, variant, selection: oneCell({ row, column }) };
}

function searchOf({ tableId, variant, selection: { active } }: DraftView) {
  return { table: tableId, variant, row: active.row, column: active.column };
}

function keyOf({ table, variant, row = 0, column = 0 }: DraftSearch): string {
  return `${table ?? ''} ${variant ?? ''} ${row} ${column}`;
}

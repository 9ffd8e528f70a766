import type { ShiftRow } from '@syncline/contract';
import { useNavigate, useParams, useSearch } from '@tanstack/react-router';
import { useCallback, useEffect, useMemo } from 'react';
import type { TimeRange } from '../../charts/plot-frame.js';
import { showPart } from '../../charts/show-part.js';
import { toMilliseconds } from '../../format/time.js';
import type { LogSearch } from './log-search.js';

export interface DriveView {
  readonly range: TimeRange;
  readonly isZoomed: boolean;
  readonly chosen: ShiftRow | undefined;
  /** Whether a shift is looked at, which may be still on its way. */
  readonly isOnShift: boolean;
  /** The moment that is pointed at (s). */
  readonly atS: number | undefined;
  readonly zoom: (range: TimeRange) => void;
  readonly reset: () => void;
  readonly choose: (shiftId: string | undefined) => void;
  readonly point: (atS: number | undefined) => void;
}

/** What the panels of the whole drive share. */
export const DRIVE_CURSOR = 'drive';

/**
 * What the address says of the view of a drive, and the ways to change it. Shift with an arrow key steps a shift; which
 * these are may come later.
 */
export function useDriveView(durationS: number, shifts: readonly ShiftRow[] | undefined): DriveView {
  const { logId } = useParams({ from: '/house/logs/$logId' });
  const search = useSearch({ from: '/house/logs/$logId' });
  const navigate = useNavigate();
  const { from, to, shift } = search;
  const range = useMemo(() => ({ fromS: from ?? 0, toS: to ?? durationS }), [from, to, durationS]);
  const go = useCallback(
    (change: Partial<LogSearch>, replace = false) =>
      void navigate({
        to: '/logs/$logId',
        params: { logId },
        search: (now) => ({ ...now, ...change }),
        replace,
        resetScroll: false,
      }),
    [navigate, logId],
  );

  useEffect(() => {
    const step = (event: KeyboardEvent) => {
      const by = { ArrowLeft: -1, ArrowRight: 1 }[event.key];
      if (by === undefined || !event.shiftKey || isTyping(event.target)) return;
      event.preventDefault();
      const next = neighbour(shifts ?? [], shift, by);
      if (next !== undefined) go({ shift: next.id }, true);
    };
    window.addEventListener('keydown', step);
    return () => window.removeEventListener('keydown', step);
  });

  const ways = useMemo(
    () => ({
      zoom: ({ fromS, toS }: TimeRange) => {
        const [from, to] = [toMilliseconds(fromS), toMilliseconds(toS)];
        showPart(DRIVE_CURSOR, { fromS: from, toS: to }, () => go({ from, to }));
      },
      reset: () => showPart(DRIVE_CURSOR, { fromS: 0, toS: durationS }, () => go({ from: undefined, to: undefined })),
      choose: (shiftId: string | undefined) => go({ shift: shiftId }),
      point: (atS: number | undefined) => go({ at: atS === undefined ? undefined : toMilliseconds(atS) }),
    }),
    [go, durationS],
  );
  const chosen = shifts?.find(({ id }) => id === shift);
  return {
    ...ways,
    range,
    isZoomed: from !== undefined || to !== undefined,
    chosen,
    isOnShift: shift !== undefined && (chosen !== undefined || shifts === undefined),
    atS: search.at,
  };
}

function neighbour(shifts: readonly ShiftRow[], chosenId: string | undefined, by: number): ShiftRow | undefined {
  const now = shifts.findIndex(({ id }) => id === chosenId);
  if (now === -1) return by > 0 ? shifts[0] : shifts.at(-1);
  return shifts[now + by];
}

function isTyping(target: EventTarget | null): boolean {
  return (
    target instanceof HTMLElement && (target.isContentEditable || /^(INPUT|TEXTAREA|SELECT)$/.test(target.tagName))
  );
}

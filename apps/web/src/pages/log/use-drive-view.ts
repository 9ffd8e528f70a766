import type { ShiftRow } from '@syncline/contract';
import { useNavigate, useParams, useSearch } from '@tanstack/react-router';
import { useEffect, useMemo } from 'react';
import type { TimeRange } from '../../charts/plot-frame.js';

export interface DriveView {
  readonly range: TimeRange;
  readonly isZoomed: boolean;
  readonly chosen: ShiftRow | undefined;
  /** The moment that is pointed at (s). */
  readonly atS: number | undefined;
  readonly zoom: (range: TimeRange) => void;
  readonly reset: () => void;
  readonly choose: (shiftId: string | undefined) => void;
  readonly point: (atS: number | undefined) => void;
}

/** What the address says of the view of a drive, and the ways to change it. Shift with an arrow key steps a shift. */
export function useDriveView(durationS: number, shifts: readonly ShiftRow[]): DriveView {
  const { logId } = useParams({ from: '/house/logs/$logId' });
  const search = useSearch({ from: '/house/logs/$logId' });
  const navigate = useNavigate();
  const { from, to, shift } = search;
  const range = useMemo(() => ({ fromS: from ?? 0, toS: to ?? durationS }), [from, to, durationS]);
  const go = (change: Partial<typeof search>, replace = false) =>
    void navigate({
      to: '/logs/$logId',
      params: { logId },
      search: { ...search, ...change },
      replace,
      resetScroll: false,
    });

  useEffect(() => {
    const step = (event: KeyboardEvent) => {
      const by = { ArrowLeft: -1, ArrowRight: 1 }[event.key];
      if (by === undefined || !event.shiftKey || isTyping(event.target)) return;
      event.preventDefault();
      const next = neighbour(shifts, shift, by);
      if (next !== undefined) go({ shift: next.id }, true);
    };
    window.addEventListener('keydown', step);
    return () => window.removeEventListener('keydown', step);
  });

  return {
    range,
    isZoomed: from !== undefined || to !== undefined,
    chosen: shifts.find(({ id }) => id === shift),
    zoom: ({ fromS, toS }) => go({ from: rounded(fromS), to: rounded(toS) }),
    reset: () => go({ from: undefined, to: undefined }),
    choose: (shiftId) => go({ shift: shiftId }),
    atS: search.at,
    point: (atS) => go({ at: atS === undefined ? undefined : rounded(atS) }),
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

/** Addresses stay short: a millisecond is finer than any sample. */
function rounded(timeS: number): number {
  return Math.round(timeS * 1000) / 1000;
}

import { type KeyboardEvent, type RefObject, useCallback, useEffect, useRef } from 'react';

interface RowKeys {
  readonly list: RefObject<HTMLElement | null>;
  readonly rowCount: number;
  /** Scrolls the list until this row is drawn. */
  readonly bring: (index: number) => void;
}

/**
 * Arrow up and down move the focus between the links that begin the rows. Keys held down come faster than rows are drawn
 * and read: the row asked for is remembered, and gets the focus as soon as it is there. Gives what listens to keys.
 */
export function useRowKeys({ list, rowCount, bring }: RowKeys) {
  const awaited = useRef<number | null>(null);
  const focusAwaited = useCallback(() => {
    const element = list.current;
    if (awaited.current === null || element === null) return;
    const link = element.querySelector<HTMLElement>(`tr[data-index="${awaited.current}"] a`);
    // Who has left the list meanwhile is not called back.
    if (link !== null && isIn(element, document.activeElement)) link.focus();
    if (link !== null || !isIn(element, document.activeElement)) awaited.current = null;
  }, [list]);
  useEffect(focusAwaited);
  return (event: KeyboardEvent<HTMLElement>) => {
    const step = event.key === 'ArrowDown' ? 1 : event.key === 'ArrowUp' ? -1 : 0;
    const row = (event.target as HTMLElement).closest<HTMLElement>('tr[data-index]');
    const from = awaited.current ?? (row === null ? null : Number(row.dataset.index));
    if (step === 0 || from === null) return;
    event.preventDefault();
    awaited.current = Math.min(Math.max(from + step, 0), rowCount - 1);
    bring(awaited.current);
    focusAwaited();
  };
}

/** A row that goes out of sight leaves the focus on the page's body until the list takes it. */
function isIn(list: HTMLElement, focused: Element | null): boolean {
  return focused === document.body || list.contains(focused);
}

/**
 * A row that is scrolled out of sight takes the focus with it. Then the list itself gets it, so that the keys go on to
 * scroll and the next tab finds a row in sight. `drawn` changes whenever other rows are drawn.
 */
export function useFocusInside(list: RefObject<HTMLElement | null>, drawn: number): void {
  const wasInside = useRef(false);
  useEffect(() => {
    const element = list.current;
    if (element === null) return;
    const enter = () => {
      wasInside.current = true;
    };
    const leave = (event: FocusEvent) => {
      // Without a next target the row may just have been taken away; the check below finds out.
      if (event.relatedTarget !== null) wasInside.current = element.contains(event.relatedTarget as Node);
    };
    element.addEventListener('focusin', enter);
    element.addEventListener('focusout', leave);
    return () => {
      element.removeEventListener('focusin', enter);
      element.removeEventListener('focusout', leave);
    };
  }, [list]);
  // biome-ignore lint/correctness/useExhaustiveDependencies: to be run when other rows are drawn
  useEffect(() => {
    if (wasInside.current && document.activeElement === document.body) list.current?.focus({ preventScroll: true });
  }, [list, drawn]);
}

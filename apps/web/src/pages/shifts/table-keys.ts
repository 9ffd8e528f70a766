import { type KeyboardEvent, type RefObject, useEffect, useRef } from 'react';

/** Arrow up and down move the focus between the links that begin the rows. To be put around the table. */
export function moveToRow(event: KeyboardEvent<HTMLElement>): void {
  const step = event.key === 'ArrowDown' ? 1 : event.key === 'ArrowUp' ? -1 : 0;
  const row = (event.target as HTMLElement).closest<HTMLElement>('tr[data-index]');
  if (step === 0 || row === null) return;
  const next = event.currentTarget.querySelector<HTMLElement>(`tr[data-index="${Number(row.dataset.index) + step}"] a`);
  if (next === null) return;
  event.preventDefault();
  next.focus();
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

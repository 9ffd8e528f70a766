import { startTransition, useEffect, useRef, useState } from 'react';

/** How far what is reckoned from the grid may lag behind it (ms): unnoticed, and long enough for the grid to be drawn. */
const LAG_MS = 70;

/**
 * A value a moment later, so that a key shows in the grid before anything costly follows. While keys come faster than
 * that, the newest one is taken up every now and then. `value` must keep its identity while it is the same.
 */
export function useSettled<T>(value: T): T {
  const [settled, setSettled] = useState(value);
  const newest = useRef(value);
  const timer = useRef<ReturnType<typeof setTimeout>>(undefined);
  useEffect(() => {
    newest.current = value;
    if (timer.current !== undefined || value === settled) return;
    timer.current = setTimeout(() => {
      timer.current = undefined;
      startTransition(() => setSettled(newest.current));
    }, LAG_MS);
  }, [value, settled]);
  useEffect(
    () => () => {
      clearTimeout(timer.current);
      timer.current = undefined;
    },
    [],
  );
  return settled;
}

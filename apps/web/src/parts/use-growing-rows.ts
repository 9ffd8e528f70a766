import { type RefObject, useEffect, useRef, useState } from 'react';

/** Rows that are drawn at first: about what is in sight, so that nobody waits for what is not. */
const FIRST = 20;
/** Rows that are drawn each time that the end of those drawn comes near. */
const STEP = 60;
/** How near: so that whoever scrolls or tabs onwards meets rows (px). */
const NEAR = '600px';

interface GrowingRows {
  /** How many rows are drawn. */
  readonly count: number;
  /** Stands behind the last of them, while there are more. */
  readonly end: RefObject<HTMLDivElement | null>;
}

/** Draws a long list as far as it is read, at least as far as the row at `leastIndex`, and all of it for the printer. */
export function useGrowingRows(total: number, leastIndex: number): GrowingRows {
  const [wanted, setWanted] = useState(FIRST);
  const end = useRef<HTMLDivElement>(null);
  const count = Math.min(total, Math.max(wanted, leastIndex + 1));
  useEffect(() => {
    const element = end.current;
    if (element === null) return;
    const observer = new IntersectionObserver(
      ([entry]) => {
        if (entry?.isIntersecting) setWanted(count + STEP);
      },
      { root: scrollParent(element), rootMargin: NEAR },
    );
    observer.observe(element);
    const drawAll = () => setWanted(Number.POSITIVE_INFINITY);
    window.addEventListener('beforeprint', drawAll);
    return () => {
      observer.disconnect();
      window.removeEventListener('beforeprint', drawAll);
    };
  }, [count]);
  return { count, end };
}

/** What scrolls a list: a box around it, or null for the window. A margin of an observer counts from there. */
function scrollParent(element: HTMLElement): HTMLElement | null {
  for (let at = element.parentElement; at !== null; at = at.parentElement) {
    if (/auto|scroll/.test(getComputedStyle(at).overflowY) && at.scrollHeight > at.clientHeight + 1) return at;
  }
  return null;
}

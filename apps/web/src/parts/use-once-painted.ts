import { startTransition, useEffect, useState } from 'react';

let isPainted = false;
const waiting = new Set<() => void>();

/**
 * Whether something has been so, and the first page of this visit is on the screen: what costs much and is only needed once
 * somebody presses it, or stands behind the evidence, is drawn in the next breath, and never taken away again.
 */
export function useOncePainted(isSo = true): boolean {
  const [hasBeen, setHasBeen] = useState(isPainted && isSo);
  useEffect(
    () => (isSo && !hasBeen ? afterFirstPaint(() => startTransition(() => setHasBeen(true))) : undefined),
    [isSo, hasBeen],
  );
  return hasBeen;
}

/** Runs once the first page is on the screen, at once if it is. Gives what takes the wish back. */
export function afterFirstPaint(then: () => void): () => void {
  if (isPainted) {
    then();
    return () => {};
  }
  if (waiting.size === 0) watchPaint();
  waiting.add(then);
  return () => waiting.delete(then);
}

/** Whether the first page of this visit is on the screen by now. */
export const hasFirstPaint = (): boolean => isPainted;

/** A page that nobody looks at is not painted; it goes on after this long (ms). */
const LATEST_MS = 1000;

/** A frame is painted right after what was wished for it: the task after it finds it done. */
function watchPaint(): void {
  requestAnimationFrame(() => setTimeout(goOn));
  setTimeout(goOn, LATEST_MS);
}

function goOn(): void {
  isPainted = true;
  const due = [...waiting];
  waiting.clear();
  for (const then of due) then();
}

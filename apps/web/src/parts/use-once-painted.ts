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

/** A frame is painted right after what was wished for it: the task after it finds it done. */
function watchPaint(): void {
  requestAnimationFrame(() =>
    setTimeout(() => {
      isPainted = true;
      for (const then of waiting) then();
      waiting.clear();
    }),
  );
}

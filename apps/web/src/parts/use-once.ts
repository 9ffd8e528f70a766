import { startTransition, useEffect, useState } from 'react';

/** Whether something has been so: what hangs on it is drawn in the next breath, and never taken away again. */
export function useOnce(isSo: boolean): boolean {
  const [hasBeen, setHasBeen] = useState(isSo);
  useEffect(() => {
    if (isSo) startTransition(() => setHasBeen(true));
  }, [isSo]);
  return hasBeen;
}

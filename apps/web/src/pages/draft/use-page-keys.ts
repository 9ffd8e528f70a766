import { useEffect, useRef } from 'react';

interface PageKeys {
  readonly onUndo: () => void;
  readonly onRedo: () => void;
  readonly onKeySheet: () => void;
}

/** Keys of the whole page: undo and redo wherever the focus is, except in a field that undoes its own typing; `?`. */
export function usePageKeys(keys: PageKeys): void {
  const latest = useRef(keys);
  useEffect(() => {
    latest.current = keys;
  });
  useEffect(() => {
    const onKey = (event: KeyboardEvent) => {
      if (event.target instanceof HTMLElement && /^(INPUT|TEXTAREA|SELECT)$/.test(event.target.tagName)) return;
      const isCtrl = event.ctrlKey || event.metaKey;
      const key = event.key.toLowerCase();
      if (isCtrl && key === 'z') (event.shiftKey ? latest.current.onRedo : latest.current.onUndo)();
      else if (isCtrl && key === 'y') latest.current.onRedo();
      else if (event.key === '?' && !isCtrl) latest.current.onKeySheet();
      else return;
      event.preventDefault();
      // The frame of all pages would open its own list of keys.
      event.stopImmediatePropagation();
    };
    document.addEventListener('keydown', onKey, true);
    return () => document.removeEventListener('keydown', onKey, true);
  }, []);
}

import { type RefObject, useLayoutEffect, useRef } from 'react';

/** A value as it was drawn last, for handlers that must not be made anew whenever it changes. */
export function useLatest<T>(value: T): RefObject<T> {
  const latest = useRef(value);
  useLayoutEffect(() => {
    latest.current = value;
  });
  return latest;
}

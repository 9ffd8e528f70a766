import { useEffect } from 'react';

/** Mark on the field that `/` jumps to: the search or first filter of a page. */
export const SEARCH_FIELD = { 'data-search-field': true } as const;

/** Keys of every page: `/` goes to the search or filter, `?` opens the list of keys. Typing in a field is left alone. */
export function useShellKeys(onHelp: () => void): void {
  useEffect(() => {
    const onKey = (event: KeyboardEvent) => {
      if (event.ctrlKey || event.metaKey || event.altKey || isTyping(event.target)) return;
      if (event.key === '?') onHelp();
      else if (event.key === '/') document.querySelector<HTMLElement>('[data-search-field]')?.focus();
      else return;
      event.preventDefault();
    };
    document.addEventListener('keydown', onKey);
    return () => document.removeEventListener('keydown', onKey);
  }, [onHelp]);
}

function isTyping(target: EventTarget | null): boolean {
  return (
    target instanceof HTMLElement && (target.isContentEditable || /^(INPUT|TEXTAREA|SELECT)$/.test(target.tagName))
  );
}

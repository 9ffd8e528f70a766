import { Tooltip } from '@mantine/core';
import type { ReactNode } from 'react';
import { TERMS, type Term } from '../format/words.js';
import classes from './help-term.module.css';
import { useKeptFocus } from './use-kept-focus.js';
import { useOncePainted } from './use-once-painted.js';

/** A word that explains itself on hover, focus and touch. Use it where a page first says the word. */
export function HelpTerm({ term, children }: { readonly term: Term; readonly children: ReactNode }) {
  const word = (
    <button ref={useKeptFocus()} type="button" className={classes.term}>
      {children}
    </button>
  );
  return useOncePainted() ? <Tooltip label={TERMS[term]}>{word}</Tooltip> : word;
}

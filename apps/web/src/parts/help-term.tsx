import { Tooltip } from '@mantine/core';
import type { ReactNode } from 'react';
import { TERMS, type Term } from '../format/words.js';
import classes from './help-term.module.css';

/** A word that explains itself on hover, focus and touch. Use it where a page first says the word. */
export function HelpTerm({ term, children }: { readonly term: Term; readonly children: ReactNode }) {
  return (
    <Tooltip label={TERMS[term]}>
      <button type="button" className={classes.term}>
        {children}
      </button>
    </Tooltip>
  );
}

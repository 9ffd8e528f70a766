import classes from './mark.module.css';

interface MarkProps {
  readonly word: string;
  /** SVG path in a box of 12 × 12. */
  readonly path: string;
  readonly isFilled: boolean;
  /** Name of a colour in tokens.css. */
  readonly colour: string;
}

/** A state as shape, word and colour. */
export function Mark({ word, path, isFilled, colour }: MarkProps) {
  return (
    <span className={classes.mark} style={{ color: `var(${colour})` }}>
      <MarkShape path={path} isFilled={isFilled} />
      {word}
    </span>
  );
}

/** The shape alone, in the colour of the text around it; the word must stand elsewhere. */
export function MarkShape({ path, isFilled }: Pick<MarkProps, 'path' | 'isFilled'>) {
  return (
    // A shape never leaves its box, and to cut hundreds of them off costs the browser time in each frame.
    <svg viewBox="0 0 12 12" overflow="visible" aria-hidden="true">
      <path d={path} fill={isFilled ? 'currentColor' : 'none'} stroke="currentColor" strokeWidth={isFilled ? 0 : 1.8} />
    </svg>
  );
}

import classes from './people.module.css';

/** Longer texts are folded: a map of signals is a page by itself. */
const SHOWN_LENGTH = 220;
const BEGINNING_LENGTH = 120;

/** A text of the audit trail, with its beginning in sight where it is long. */
export function LongText({ text }: { readonly text: string }) {
  if (text.length <= SHOWN_LENGTH) return <span>{text}</span>;
  return (
    <details className={classes.long}>
      <summary>{text.slice(0, BEGINNING_LENGTH)}…</summary>
      {text}
    </details>
  );
}

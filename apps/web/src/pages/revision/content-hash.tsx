import { CopyButton } from '@mantine/core';
import classes from './revision.module.css';

const SHORT_LENGTH = 12;

/** SHA-256 of the content, short; hover gives all of it, a click copies it. */
export function ContentHash({ hash }: { readonly hash: string }) {
  return (
    <CopyButton value={hash}>
      {({ copied, copy }) => (
        <button type="button" className={classes.hash} title={hash} onClick={copy}>
          <code>{hash.slice(0, SHORT_LENGTH)}…</code> <span role="status">{copied ? 'copied' : 'copy'}</span>
        </button>
      )}
    </CopyButton>
  );
}

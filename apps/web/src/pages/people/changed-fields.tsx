import { VisuallyHidden } from '@mantine/core';
import type { AuditState } from '@syncline/contract';
import { LongText } from './long-text.js';
import classes from './people.module.css';

interface ChangedFieldsProps {
  readonly before: AuditState | null;
  readonly after: AuditState | null;
}

/** Fields as they were and as they became, a line each. */
export function ChangedFields({ before, after }: ChangedFieldsProps) {
  const names = [...new Set([...Object.keys(before ?? {}), ...Object.keys(after ?? {})])];
  if (names.length === 0) return null;
  return (
    <ul className={classes.change}>
      {names.map((name) => (
        <li key={name}>
          <span className={classes.field}>{fieldWords(name)}</span>{' '}
          {before !== null && <LongText text={textOf(before, name)} />}
          {before !== null && after !== null && (
            <>
              <span aria-hidden="true"> → </span>
              <VisuallyHidden> became </VisuallyHidden>
            </>
          )}
          {after !== null && <LongText text={textOf(after, name)} />}
        </li>
      ))}
    </ul>
  );
}

/** `callText` as “call text”. */
function fieldWords(name: string): string {
  return name.replace(/([a-z])([A-Z])/g, (_, end: string, begin: string) => `${end} ${begin.toLowerCase()}`);
}

function textOf(state: AuditState, name: string): string {
  const value = state[name];
  if (value === undefined || value === null) return 'nothing';
  return value === '' ? 'empty' : String(value);
}

import { Button, Code } from '@mantine/core';
import { ApiProblem, Unreachable } from '../api/api-problem.js';
import classes from './problem-notice.module.css';

interface ProblemNoticeProps {
  readonly error: unknown;
  /** Tries again with what was entered; left out where there is nothing to repeat. */
  readonly onRetry?: (() => void) | undefined;
}

interface Explanation {
  readonly title: string;
  readonly detail: string;
  readonly remedy: string;
  readonly reference: string | null;
  readonly items: readonly string[];
}

/** What went wrong, what to do, and how to refer to it. */
export function ProblemNotice({ error, onRetry }: ProblemNoticeProps) {
  const { title, detail, remedy, reference, items } = explain(error);
  return (
    <div className={classes.notice} role="alert">
      <div className={classes.title}>{title}</div>
      <div>
        {detail} {remedy}
      </div>
      {items.length > 0 && (
        <ul className={classes.list}>
          {items.map((item) => (
            <li key={item}>{item}</li>
          ))}
        </ul>
      )}
      {reference !== null && (
        <div className={classes.meta}>
          <Code>{reference}</Code>
        </div>
      )}
      {onRetry !== undefined && (
        <div>
          <Button variant="default" size="xs" onClick={onRetry}>
            Try again
          </Button>
        </div>
      )}
    </div>
  );
}

function explain(error: unknown): Explanation {
  if (error instanceof ApiProblem) {
    const { title, detail, remedy, code, requestId, fields = [], findings = [] } = error.document;
    return {
      title,
      detail: detail === title ? '' : detail,
      remedy,
      reference: `${code} · request ${requestId}`,
      items: [
        ...fields.map((field) => `${field.path}: ${field.message}`),
        ...findings.map((finding) => `${finding.where}: ${finding.message}`),
      ],
    };
  }
  if (error instanceof Unreachable) {
    return {
      title: 'The server cannot be reached',
      detail: 'No answer came. What you entered is kept.',
      remedy: 'Check the connection, then try again.',
      reference: null,
      items: [],
    };
  }
  return {
    title: 'This page met something it did not expect',
    detail: 'The fault is on our side, nothing of yours is lost.',
    remedy: 'Try again; report the text below if it stays.',
    reference: error instanceof Error ? error.message.slice(0, 300) : String(error),
    items: [],
  };
}

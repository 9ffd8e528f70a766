import { Button, Switch } from '@mantine/core';
import { type Comment, mayDo } from '@syncline/contract';
import { useState } from 'react';
import { useResolveComment } from '../../api/reviews.js';
import { useSession } from '../../api/session.js';
import { Instant } from '../../parts/instant.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { TextLink } from '../../parts/text-link.js';
import classes from './review.module.css';

interface CommentListProps {
  readonly revisionId: string;
  readonly comments: readonly Comment[];
  /** Left out where all are about the cell that they stand beside. */
  readonly hasPlaces?: boolean;
}

/** Comments, open ones first; what is settled is shown on demand. */
export function CommentList({ revisionId, comments, hasPlaces = true }: CommentListProps) {
  const [isAll, setAll] = useState(false);
  const open = comments.filter(({ resolvedAt }) => resolvedAt === null);
  const settled = comments.filter(({ resolvedAt }) => resolvedAt !== null);
  return (
    <div className={classes.comments}>
      <ul>
        {[...open, ...(isAll ? settled : [])].map((comment) => (
          <OneComment key={comment.id} revisionId={revisionId} comment={comment} hasPlace={hasPlaces} />
        ))}
      </ul>
      {settled.length > 0 && (
        <Switch
          size="xs"
          label={`Show ${settled.length} settled`}
          checked={isAll}
          onChange={(event) => setAll(event.currentTarget.checked)}
        />
      )}
    </div>
  );
}

interface OneCommentProps {
  readonly revisionId: string;
  readonly comment: Comment;
  readonly hasPlace: boolean;
}

function OneComment({ revisionId, comment, hasPlace }: OneCommentProps) {
  const { text, byName, createdAt, resolvedAt, resolvedByName } = comment;
  const resolve = useResolveComment(revisionId);
  const { role } = useSession().person;
  const isResolved = resolvedAt !== null;
  return (
    <li>
      {hasPlace && <PlaceLink revisionId={revisionId} comment={comment} />}
      <div className={classes.text}>{text}</div>
      <div className={classes.by}>
        {byName}, <Instant at={createdAt} />
        {isResolved && (
          <>
            {' '}
            · settled by {resolvedByName}, <Instant at={resolvedAt} />
          </>
        )}
        {mayDo(role, 'review:write') && (
          <Button
            variant="default"
            size="compact-xs"
            loading={resolve.isPending}
            onClick={() => resolve.mutate({ commentId: comment.id, isResolved: !isResolved })}
          >
            {isResolved ? 'Open again' : 'Settle'}
          </Button>
        )}
      </div>
      {resolve.error !== null && <ProblemNotice error={resolve.error} />}
    </li>
  );
}

/** Where a comment belongs, as a link to it. */
function PlaceLink({ revisionId, comment }: { readonly revisionId: string; readonly comment: Comment }) {
  const { tableId, variant, cell } = comment;
  if (tableId === null) return <span className={classes.by}>On the revision</span>;
  const words = [
    tableId,
    variant !== null && variant !== 'all' && variant,
    cell !== null && `row ${cell.row + 1}, column ${cell.column + 1}`,
  ].filter(Boolean);
  return (
    <TextLink
      to="/revisions/$revisionId"
      params={{ revisionId }}
      search={(now) => ({
        ...now,
        table: tableId,
        variant: variant ?? undefined,
        row: cell?.row,
        column: cell?.column,
      })}
      resetScroll={false}
    >
      {words.join(', ')}
    </TextLink>
  );
}

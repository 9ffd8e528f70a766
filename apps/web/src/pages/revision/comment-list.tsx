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
  /** Names the table and cell of a comment. Left out where all are about the cell that they stand beside. */
  readonly placeWords?: ((comment: Comment) => string) | undefined;
}

/** Comments, open ones first; what is settled is shown on demand. */
export function CommentList({ revisionId, comments, placeWords }: CommentListProps) {
  const [isAll, setAll] = useState(false);
  const open = comments.filter(({ resolvedAt }) => resolvedAt === null);
  const settled = comments.filter(({ resolvedAt }) => resolvedAt !== null);
  return (
    <div className={classes.comments}>
      <ul>
        {[...open, ...(isAll ? settled : [])].map((comment) => (
          <OneComment key={comment.id} revisionId={revisionId} comment={comment} placeWords={placeWords} />
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
  readonly placeWords: CommentListProps['placeWords'];
}

function OneComment({ revisionId, comment, placeWords }: OneCommentProps) {
  const { text, byName, createdAt, resolvedAt, resolvedByName } = comment;
  const resolve = useResolveComment(revisionId);
  const { role } = useSession().person;
  const isResolved = resolvedAt !== null;
  return (
    <li>
      {placeWords !== undefined && <PlaceLink revisionId={revisionId} comment={comment} words={placeWords(comment)} />}
      <div className={classes.text}>{text}</div>
      <div className={classes.by}>
        <span>
          {byName}, <Instant at={createdAt} />
          {isResolved && (
            <>
              {' '}
              · settled by {resolvedByName}, <Instant at={resolvedAt} />
            </>
          )}
        </span>
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

interface PlaceLinkProps {
  readonly revisionId: string;
  readonly comment: Comment;
  readonly words: string;
}

/** Where a comment belongs, as a link to it. */
function PlaceLink({ revisionId, comment, words }: PlaceLinkProps) {
  const { tableId, variant, cell } = comment;
  if (tableId === null) return <span className={classes.by}>On the revision</span>;
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
      {words}
    </TextLink>
  );
}

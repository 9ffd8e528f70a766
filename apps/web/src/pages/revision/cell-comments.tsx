import { Button } from '@mantine/core';
import { useDisclosure } from '@mantine/hooks';
import { type Comment, mayDo } from '@syncline/contract';
import { useSession } from '../../api/session.js';
import type { GridPlace } from '../../charts/grid-place.js';
import { CommentDialog } from './comment-dialog.js';
import { CommentList } from './comment-list.js';
import { commentsAt } from './table-grid.js';
import { placeName, type TableView } from './table-view.js';

interface CellCommentsProps {
  readonly revisionId: string;
  readonly view: TableView;
  readonly place: GridPlace;
  /** Of the shown variant and of the table as a whole. */
  readonly comments: readonly Comment[];
}

/** What reviewers said of the chosen cell and of its table. */
export function CellComments({ revisionId, view, place, comments }: CellCommentsProps) {
  const { role } = useSession().person;
  const [isOpen, dialog] = useDisclosure(false);
  const ofCell = commentsAt(comments, place);
  const ofTable = comments.filter(({ cell }) => cell === null);
  const where = placeName(view, place);
  return (
    <section aria-label="Comments on the chosen cell and its table">
      {ofCell.length > 0 && <CommentList revisionId={revisionId} comments={ofCell} />}
      {ofTable.length > 0 && (
        <>
          <h4>On the table</h4>
          <CommentList revisionId={revisionId} comments={ofTable} />
        </>
      )}
      {mayDo(role, 'review:write') && (
        <Button variant="default" size="compact-sm" mt={8} onClick={dialog.open}>
          Comment here
        </Button>
      )}
      <CommentDialog
        revisionId={revisionId}
        target={
          isOpen
            ? {
                tableId: view.spec.id,
                variant: view.variant,
                cell: { row: place.row, column: place.column },
                words: where === '' ? view.name : `${view.name}, ${where}`,
                tableWords: view.name,
              }
            : null
        }
        onClose={dialog.close}
      />
    </section>
  );
}

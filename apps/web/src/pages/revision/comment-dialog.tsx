import { Button, Group, Modal, SegmentedControl, Stack, Textarea } from '@mantine/core';
import type { Comment } from '@syncline/contract';
import { useState } from 'react';
import { useComment } from '../../api/reviews.js';
import { ProblemNotice } from '../../parts/problem-notice.js';

/** What a comment is about, and what that is called. */
export interface CommentTarget extends Pick<Comment, 'tableId' | 'variant' | 'cell'> {
  readonly words: string;
  /** The same without the cell. */
  readonly tableWords?: string;
}

interface CommentDialogProps {
  readonly revisionId: string;
  /** Null is closed. */
  readonly target: CommentTarget | null;
  readonly onClose: () => void;
}

/** A comment on the revision, on a table or on a cell. */
export function CommentDialog({ revisionId, target, onClose }: CommentDialogProps) {
  return (
    <Modal
      opened={target !== null}
      onClose={onClose}
      title={`Comment on ${target?.words ?? ''}`}
      closeButtonProps={{ 'aria-label': 'Close' }}
    >
      {target !== null && <CommentForm revisionId={revisionId} target={target} onClose={onClose} />}
    </Modal>
  );
}

interface CommentFormProps {
  readonly revisionId: string;
  readonly target: CommentTarget;
  readonly onClose: () => void;
}

function CommentForm({ revisionId, target, onClose }: CommentFormProps) {
  const { tableId, variant, cell, tableWords } = target;
  const comment = useComment(revisionId);
  const [text, setText] = useState('');
  const [scope, setScope] = useState<'cell' | 'table'>('cell');
  const isOfCell = cell !== null && scope === 'cell';
  return (
    <form
      onSubmit={(event) => {
        event.preventDefault();
        if (text.trim() !== '')
          comment.mutate({ tableId, variant, cell: isOfCell ? cell : null, text }, { onSuccess: onClose });
      }}
    >
      <Stack gap="sm">
        {cell !== null && (
          <SegmentedControl
            size="xs"
            aria-label="What the comment is about"
            data={[
              { value: 'cell', label: 'This cell' },
              { value: 'table', label: tableWords ?? 'The table' },
            ]}
            value={scope}
            onChange={(value) => setScope(value as 'cell' | 'table')}
          />
        )}
        <Textarea
          label="Comment"
          autosize
          minRows={3}
          data-autofocus
          value={text}
          onChange={(event) => setText(event.currentTarget.value)}
        />
        {comment.error !== null && <ProblemNotice error={comment.error} />}
        <Group justify="flex-end">
          <Button type="submit" disabled={text.trim() === ''} loading={comment.isPending}>
            Comment
          </Button>
        </Group>
      </Stack>
    </form>
  );
}

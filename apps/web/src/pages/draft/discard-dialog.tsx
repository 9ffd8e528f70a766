import { Button, Group, Modal, Stack, Text } from '@mantine/core';
import { useNavigate } from '@tanstack/react-router';
import type { RefObject } from 'react';
import { useDiscardDraft } from '../../api/drafts.js';
import { counted } from '../../format/quantity.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { tableChanges } from './model/content-change.js';
import type { DraftEditor } from './use-draft-editor.js';

interface DiscardDialogProps {
  readonly editor: RefObject<DraftEditor>;
  readonly isOpen: boolean;
  readonly onClose: () => void;
}

/** Throws the draft away, after saying what is lost with it. */
export function DiscardDialog({ editor, isOpen, onClose }: DiscardDialogProps) {
  return (
    <Modal opened={isOpen} onClose={onClose} title="Discard the draft?" closeButtonProps={{ 'aria-label': 'Close' }}>
      <Question editor={editor} onClose={onClose} />
    </Modal>
  );
}

function Question({ editor, onClose }: Omit<DiscardDialogProps, 'isOpen'>) {
  const { draft, content, parent, queue } = editor.current;
  const discard = useDiscardDraft(draft.id);
  const navigate = useNavigate();
  const changes = [...tableChanges(content, parent).values()];
  const cells = changes.reduce((sum, { changedCells }) => sum + changedCells, 0);
  const go = () =>
    discard.mutate(undefined, {
      onSuccess: () => {
        queue.forget();
        void navigate({
          to: '/calibrations/$calibrationId',
          params: { calibrationId: draft.calibrationId },
          search: { discarded: draft.id },
        });
      },
    });
  return (
    <Stack gap="sm">
      <Text>
        “{draft.title}” goes
        {parent === null
          ? ', with all its tables.'
          : cells === 0
            ? '. It does not differ from its parent.'
            : `, with ${counted(cells, 'changed cell')} in ${counted(changes.length, 'table')}.`}{' '}
        No revision is touched. The page of the calibration then offers to bring it back.
      </Text>
      {discard.error !== null && <ProblemNotice error={discard.error} />}
      <Group justify="flex-end">
        <Button variant="default" data-autofocus onClick={onClose}>
          Keep it
        </Button>
        <Button color="red.9" loading={discard.isPending} onClick={go}>
          Discard the draft
        </Button>
      </Group>
    </Stack>
  );
}

import { Button, Group, Modal, Stack, TextInput } from '@mantine/core';
import { type DraftResponse, renameDraftRequest } from '@syncline/contract';
import { useQueryClient } from '@tanstack/react-query';
import { draftQueries, useRenameDraft } from '../../api/drafts.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { useForm } from '../../parts/use-form.js';

interface RenameDialogProps {
  readonly draft: DraftResponse;
  readonly isOpen: boolean;
  readonly onClose: () => void;
}

/** Gives the draft another title, or puts it on another line. */
export function RenameDialog({ draft, isOpen, onClose }: RenameDialogProps) {
  return (
    <Modal opened={isOpen} onClose={onClose} title="Rename the draft" closeButtonProps={{ 'aria-label': 'Close' }}>
      <RenameForm draft={draft} onClose={onClose} />
    </Modal>
  );
}

function RenameForm({ draft, onClose }: Omit<RenameDialogProps, 'isOpen'>) {
  const rename = useRenameDraft(draft.id);
  const client = useQueryClient();
  const form = useForm({
    initial: { title: draft.title, line: draft.line },
    schema: renameDraftRequest,
    error: rename.error,
    onSubmit: (request) =>
      rename.mutate(request, {
        onSuccess: ({ title, line }) => {
          client.setQueryData(draftQueries.one(draft.id).queryKey, (known) => known && { ...known, title, line });
          onClose();
        },
      }),
  });
  return (
    <form onSubmit={form.submit} noValidate>
      <Stack gap="sm">
        <TextInput label="Title" data-autofocus {...form.field('title')} />
        <TextInput
          label="Line"
          description="Of revisions within the calibration; another name begins a branch"
          {...form.field('line')}
        />
        {rename.error !== null && <ProblemNotice error={rename.error} />}
        <Group justify="flex-end">
          <Button type="submit" loading={rename.isPending}>
            Rename
          </Button>
        </Group>
      </Stack>
    </form>
  );
}

import { Button, Group, Modal, Stack, Text, Textarea } from '@mantine/core';
import { type FormEvent, useState } from 'react';
import { useRejectProposal } from '../../api/proposals.js';
import { ProblemNotice } from '../../parts/problem-notice.js';

interface RejectDialogProps {
  readonly proposalId: string;
  readonly isOpen: boolean;
  readonly onClose: () => void;
}

/** Turns the proposal down for good, with the reason that stays beside it. */
export function RejectDialog({ proposalId, isOpen, onClose }: RejectDialogProps) {
  const reject = useRejectProposal(proposalId);
  const [reason, setReason] = useState('');
  const submit = (event: FormEvent) => {
    event.preventDefault();
    reject.mutate(reason.trim(), { onSuccess: onClose });
  };
  return (
    <Modal opened={isOpen} onClose={onClose} title="Reject the proposal" closeButtonProps={{ 'aria-label': 'Close' }}>
      <form onSubmit={submit}>
        <Stack gap="sm">
          <Text>It stays to be read, with your reason; no draft can be taken from it any more.</Text>
          <Textarea
            label="Why"
            autosize
            minRows={2}
            maxLength={200}
            data-autofocus
            value={reason}
            onChange={(event) => setReason(event.currentTarget.value)}
          />
          {reject.error !== null && <ProblemNotice error={reject.error} />}
          <Group justify="flex-end">
            <Button variant="default" onClick={onClose}>
              Keep it
            </Button>
            <Button type="submit" color="red.9" loading={reject.isPending} disabled={reason.trim() === ''}>
              Reject
            </Button>
          </Group>
        </Stack>
      </form>
    </Modal>
  );
}

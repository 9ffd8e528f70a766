import { Button, Group, Modal, Stack, Text, TextInput } from '@mantine/core';
import type { NodeProposal, ProposalResponse } from '@syncline/contract';
import { useNavigate } from '@tanstack/react-router';
import { type FormEvent, useState } from 'react';
import { isProblem } from '../../api/api-problem.js';
import { useTakeProposal } from '../../api/proposals.js';
import { counted } from '../../format/quantity.js';
import { Caution } from '../../parts/caution.js';
import { ProblemNotice } from '../../parts/problem-notice.js';

interface TakeDialogProps {
  readonly proposal: ProposalResponse;
  /** The changes that were not left out. */
  readonly taken: readonly NodeProposal[];
  readonly total: number;
  readonly isOpen: boolean;
  readonly onClose: () => void;
}

/** Begins a draft with what was chosen of the proposal. */
export function TakeDialog({ isOpen, onClose, ...rest }: TakeDialogProps) {
  return (
    <Modal opened={isOpen} onClose={onClose} title="Take into a draft" closeButtonProps={{ 'aria-label': 'Close' }}>
      <TakeForm {...rest} onClose={onClose} />
    </Modal>
  );
}

function TakeForm({ proposal, taken, total, onClose }: Omit<TakeDialogProps, 'isOpen'>) {
  const take = useTakeProposal(proposal.id);
  const navigate = useNavigate();
  const [line, setLine] = useState('');
  const isAll = taken.length === total;
  const submit = (event: FormEvent) => {
    event.preventDefault();
    const nodes = taken.map(({ tableId, variant, nodeIndex }) => ({ tableId, variant, nodeIndex }));
    take.mutate(
      { ...(isAll ? {} : { nodes }), ...(line.trim() === '' ? {} : { line: line.trim() }) },
      { onSuccess: ({ id }) => void navigate({ to: '/drafts/$draftId', params: { draftId: id } }) },
    );
  };
  return (
    <form onSubmit={submit}>
      <Stack gap="sm">
        <Text>
          A draft from r{proposal.baseRevisionNumber} begins with{' '}
          {isAll ? `all ${total}` : `${taken.length} of ${total}`} changes. It is checked, edited and reviewed like any
          other; nothing reaches a car before that.
        </Text>
        {!isAll && (
          <Text size="sm" c="dimmed">
            {counted(total - taken.length, 'change')} left out. A part may break a course or a slope that the whole
            keeps: the draft then says where.
          </Text>
        )}
        <TextInput
          label="Line"
          description={`Empty: the line of r${proposal.baseRevisionNumber}. A new name begins a branch, where that line has gone on.`}
          value={line}
          onChange={(event) => setLine(event.currentTarget.value)}
        />
        <Caution title="A model of the past">
          What is proposed comes from shifts that were driven, in the cars that drove them. Look at what is left alone
          and why, and have the first drives with it made with care.
        </Caution>
        {take.error !== null && <ProblemNotice error={take.error} />}
        {isProblem(take.error, 'revision.notNewest') && <Text size="sm">Name another line above.</Text>}
        <Group justify="flex-end">
          <Button variant="default" onClick={onClose}>
            Not now
          </Button>
          <Button type="submit" loading={take.isPending} data-autofocus>
            Begin the draft
          </Button>
        </Group>
      </Stack>
    </form>
  );
}

import { Button, Group, Modal, Select, Stack, Textarea, TextInput } from '@mantine/core';
import { createCalibrationRequest } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useNavigate } from '@tanstack/react-router';
import { useCreateCalibration } from '../../api/calibrations.js';
import { platformQueries } from '../../api/platforms.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { useForm } from '../../parts/use-form.js';

interface NewCalibrationProps {
  readonly isOpen: boolean;
  readonly onClose: () => void;
}

/** Begins a calibration; its first revision comes next, on its page. */
export function NewCalibration({ isOpen, onClose }: NewCalibrationProps) {
  return (
    <Modal opened={isOpen} onClose={onClose} title="New calibration" closeButtonProps={{ 'aria-label': 'Close' }}>
      <NewCalibrationForm />
    </Modal>
  );
}

function NewCalibrationForm() {
  const create = useCreateCalibration();
  const navigate = useNavigate();
  const platforms = useQuery(platformQueries.list());
  const choices = (platforms.data?.items ?? []).map(({ id, title }) => ({ value: id, label: title }));
  const form = useForm({
    initial: { title: '', platformId: null as string | null, note: '' },
    schema: createCalibrationRequest,
    error: create.error,
    onSubmit: (request) =>
      create.mutate(request, {
        onSuccess: ({ id }) => void navigate({ to: '/calibrations/$calibrationId', params: { calibrationId: id } }),
      }),
  });
  return (
    <form onSubmit={form.submit} noValidate>
      <Stack gap="sm">
        {platforms.error !== null && <ProblemNotice error={platforms.error} onRetry={() => void platforms.refetch()} />}
        <TextInput label="Title" data-autofocus {...form.field('title')} />
        <Select
          label="Gearbox"
          placeholder={choices.length === 0 ? 'No gearbox is known yet' : 'Choose a gearbox'}
          data={choices}
          {...form.choice('platformId')}
        />
        <Textarea label="Note" description="What the line is for" autosize minRows={2} {...form.field('note')} />
        {create.error !== null && <ProblemNotice error={create.error} />}
        <Group justify="flex-end">
          <Button type="submit" loading={create.isPending}>
            Make it
          </Button>
        </Group>
      </Stack>
    </form>
  );
}

import { Autocomplete, Button, Group, Modal, Select, Stack, Text, TextInput } from '@mantine/core';
import { type CalibrationResponse, createDraftRequest } from '@syncline/contract';
import { useNavigate } from '@tanstack/react-router';
import { useState } from 'react';
import { useCreateDraft, useRevert } from '../../api/drafts.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { useForm } from '../../parts/use-form.js';
import type { Beginning } from './begin-menu.js';
import { headOf, lineAfter, linesOf } from './lines.js';

interface BeginDialogProps {
  readonly calibration: CalibrationResponse;
  /** `new` asks for the revision too; null is closed. */
  readonly beginning: Beginning | 'new' | null;
  readonly onClose: () => void;
}

/** Begins a draft: from a revision, as a branch, or to bring an earlier revision back. */
export function BeginDialog({ calibration, beginning, onClose }: BeginDialogProps) {
  return (
    <Modal
      opened={beginning !== null}
      onClose={onClose}
      title={titleOf(beginning)}
      closeButtonProps={{ 'aria-label': 'Close' }}
    >
      {beginning !== null &&
        (beginning !== 'new' && beginning.kind === 'revert' ? (
          <RevertForm calibration={calibration} beginning={beginning} />
        ) : (
          <DraftForm calibration={calibration} beginning={beginning} />
        ))}
    </Modal>
  );
}

function titleOf(beginning: BeginDialogProps['beginning']): string {
  if (beginning === null || beginning === 'new') return 'New draft';
  const { kind, revision } = beginning;
  if (kind === 'revert') return `Bring r${revision.number} back`;
  return kind === 'branch' ? `Branch off at r${revision.number}` : `New draft from r${revision.number}`;
}

interface DraftFormProps {
  readonly calibration: CalibrationResponse;
  readonly beginning: Beginning | 'new';
}

const draftSchema = createDraftRequest.omit({ layoutVersion: true }).required({ line: true, title: true });

function DraftForm({ calibration, beginning }: DraftFormProps) {
  const create = useCreateDraft(calibration.id);
  const navigate = useNavigate();
  const lines = linesOf(calibration);
  const newest = [...calibration.revisions].sort((a, b) => b.number - a.number);
  const from = beginning === 'new' ? newest[0] : beginning.revision;
  const isBranch = beginning !== 'new' && beginning.kind === 'branch';
  const form = useForm({
    initial: {
      title: '',
      parentId: from?.id ?? null,
      line: from === undefined ? 'main' : isBranch ? '' : lineAfter(calibration, from.id),
    },
    schema: draftSchema,
    error: create.error,
    onSubmit: (request) =>
      create.mutate(request, {
        onSuccess: ({ id }) => void navigate({ to: '/drafts/$draftId', params: { draftId: id } }),
      }),
  });
  const goesOn = lineAfter(calibration, String(form.values.parentId));
  return (
    <form onSubmit={form.submit} noValidate>
      <Stack gap="sm">
        <TextInput label="Title" description="What the change is for" data-autofocus {...form.field('title')} />
        {newest.length > 0 ? (
          <Select
            label="Made from"
            allowDeselect={false}
            data={newest.map(({ id, number, message }) => ({ value: id, label: `r${number}: ${message}` }))}
            {...form.choice('parentId')}
            onChange={(id) => {
              form.set('parentId', id);
              form.set('line', id === null ? '' : lineAfter(calibration, id));
            }}
          />
        ) : (
          <Text size="sm" c="dimmed">
            It begins with the default of every table of the newest layout version.
          </Text>
        )}
        <Autocomplete
          label="Line"
          description={
            goesOn === '' && newest.length > 0
              ? `Its line goes on from there already: give the branch a name. There are ${lines.join(', ')}`
              : 'Of the revision to come. Another name begins a branch'
          }
          data={goesOn === '' ? [] : [goesOn]}
          {...form.choice('line')}
          value={String(form.values.line)}
        />
        {create.error !== null && <ProblemNotice error={create.error} />}
        <Group justify="flex-end">
          <Button type="submit" loading={create.isPending}>
            Begin the draft
          </Button>
        </Group>
      </Stack>
    </form>
  );
}

function RevertForm({ calibration, beginning }: { calibration: CalibrationResponse; beginning: Beginning }) {
  const { revision } = beginning;
  const revert = useRevert(revision.id);
  const navigate = useNavigate();
  const heads = linesOf(calibration).flatMap((line) => headOf(calibration, line) ?? []);
  const [onto, setOnto] = useState(headOf(calibration, revision.line)?.id ?? null);
  const begin = () =>
    revert.mutate(onto === null ? {} : { onto }, {
      onSuccess: ({ id }) => void navigate({ to: '/drafts/$draftId', params: { draftId: id } }),
    });
  return (
    <Stack gap="sm">
      <Text size="sm">
        Makes a draft with the tables of r{revision.number} (“{revision.message}”) on top of a newer revision. Nothing
        is taken out of the history: what came between stays, and the draft shows the difference before it becomes a
        revision.
      </Text>
      <Select
        label="On top of"
        allowDeselect={false}
        data={heads.map(({ id, number, line, message }) => ({ value: id, label: `r${number} (${line}): ${message}` }))}
        value={onto}
        onChange={setOnto}
      />
      {revert.error !== null && <ProblemNotice error={revert.error} />}
      <Group justify="flex-end">
        <Button loading={revert.isPending} onClick={begin}>
          Begin the draft
        </Button>
      </Group>
    </Stack>
  );
}

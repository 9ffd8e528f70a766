import { Button, FileInput, Group, Modal, Select, Stack, TextInput } from '@mantine/core';
import { type CalibrationResponse, createRevisionRequest, type RevisionContentDocument } from '@syncline/contract';
import { useNavigate } from '@tanstack/react-router';
import { useState } from 'react';
import { useCreateRevision } from '../../api/calibrations.js';
import { counted } from '../../format/quantity.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { useForm } from '../../parts/use-form.js';
import { parseContent } from './parse-content.js';

interface NewRevisionProps {
  readonly calibration: CalibrationResponse;
  readonly isOpen: boolean;
  readonly onClose: () => void;
}

/** Makes a revision from a content file. The server checks it against the layout and says what blocks it. */
export function NewRevision({ calibration, isOpen, onClose }: NewRevisionProps) {
  return (
    <Modal
      opened={isOpen}
      onClose={onClose}
      title="New revision"
      size="lg"
      closeButtonProps={{ 'aria-label': 'Close' }}
    >
      <NewRevisionForm calibration={calibration} />
    </Modal>
  );
}

const formSchema = createRevisionRequest.omit({ content: true });

function NewRevisionForm({ calibration }: { readonly calibration: CalibrationResponse }) {
  const create = useCreateRevision(calibration.id);
  const navigate = useNavigate();
  const [content, setContent] = useState<RevisionContentDocument | null>(null);
  const [fault, setFault] = useState<string | null>(null);
  const revisions = [...calibration.revisions].sort((a, b) => b.number - a.number);
  const form = useForm({
    initial: { parentId: revisions[0]?.id ?? null, message: '' },
    schema: formSchema,
    error: create.error,
    onSubmit: (request) => {
      if (content === null) return setFault('Please choose a file');
      create.mutate(
        { ...request, content },
        { onSuccess: ({ id }) => void navigate({ to: '/revisions/$revisionId', params: { revisionId: id } }) },
      );
    },
  });
  const read = async (file: File | null) => {
    const parsed = file === null ? { content: null, fault: null } : parseContent(await file.text());
    setContent(parsed.content);
    setFault(parsed.fault);
  };
  return (
    <form onSubmit={form.submit} noValidate>
      <Stack gap="sm">
        <FileInput
          label="Content of all tables"
          description={content === null ? 'JSON, as “Content as JSON” gives it' : understood(content)}
          placeholder="Choose a file"
          accept="application/json,.json"
          clearable
          clearButtonProps={{ 'aria-label': 'Take the file away' }}
          error={fault}
          onChange={(file) => void read(file)}
        />
        <TextInput
          label="Message"
          description="What was changed, and why: it stands in the history"
          {...form.field('message')}
        />
        {revisions.length > 0 && (
          <Select
            label="Made from"
            allowDeselect={false}
            data={revisions.map(({ id, number, message }) => ({ value: id, label: `r${number}: ${message}` }))}
            {...form.choice('parentId')}
          />
        )}
        {create.error !== null && <ProblemNotice error={create.error} />}
        <Group justify="flex-end">
          <Button type="submit" loading={create.isPending}>
            Make the revision
          </Button>
        </Group>
      </Stack>
    </form>
  );
}

/** What was understood of the file, before it is believed. */
function understood({ platformId, layoutVersion, tables }: RevisionContentDocument): string {
  return `Read: ${counted(Object.keys(tables).length, 'table')} for ${platformId}, layout version ${layoutVersion}`;
}

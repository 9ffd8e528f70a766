import { Button, Checkbox, Group, Modal, NumberInput, Select, Stack, Text } from '@mantine/core';
import type { CalibrationResponse, ProposalPolicy, ProposalsResponse } from '@syncline/contract';
import { useNavigate } from '@tanstack/react-router';
import { type FormEvent, useState } from 'react';
import { useCreateProposal } from '../../api/proposals.js';
import { counted } from '../../format/quantity.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import classes from './proposals.module.css';

interface ProposeDialogProps {
  readonly calibration: CalibrationResponse;
  readonly known: ProposalsResponse;
  readonly isOpen: boolean;
  readonly onClose: () => void;
}

/** Asks for a proposal: on which revision, about what, and how bold. */
export function ProposeDialog({ isOpen, onClose, ...rest }: ProposeDialogProps) {
  return (
    <Modal
      opened={isOpen}
      onClose={onClose}
      size="lg"
      title="Propose from drives"
      closeButtonProps={{ 'aria-label': 'Close' }}
    >
      <ProposeForm {...rest} onClose={onClose} />
    </Modal>
  );
}

type NumberField = Exclude<keyof ProposalPolicy, 'useEarlierRevisions' | 'useSameCommand' | 'carriesThin'>;

/** Fields of the policy as a person reads them; shares as per cent. */
const FIELDS: readonly {
  readonly id: NumberField;
  readonly label: string;
  readonly unit: '' | '%';
  readonly step: number;
}[] = [
  { id: 'minShifts', label: 'Least shifts behind a value', unit: '', step: 1 },
  { id: 'minVehicles', label: 'Least cars behind it', unit: '', step: 1 },
  { id: 'maxStep', label: 'Largest step (%)', unit: '%', step: 0.5 },
  { id: 'maxSdLn', label: 'Highest standard deviation (%)', unit: '%', step: 0.5 },
  { id: 'leastSignal', label: 'Least correction (standard deviations)', unit: '', step: 0.5 },
  { id: 'maxFlareRate', label: 'Never lower above a flare rate of (%)', unit: '%', step: 0.5 },
];

function ProposeForm({ calibration, known, onClose }: Omit<ProposeDialogProps, 'isOpen'>) {
  const create = useCreateProposal(calibration.id);
  const navigate = useNavigate();
  const driven = calibration.revisions.filter(({ shiftCount }) => shiftCount > 0);
  const [baseId, setBaseId] = useState(driven.at(-1)?.id ?? null);
  const subjects = known.subjects.find(({ revisionId }) => revisionId === baseId)?.subjects ?? [];
  const [subjectId, setSubjectId] = useState<string | null>(null);
  const [policy, setPolicy] = useState<ProposalPolicy>(known.defaultPolicy);
  const subject = subjects.find(({ id }) => id === subjectId) ?? subjects[0];
  const submit = (event: FormEvent) => {
    event.preventDefault();
    if (baseId === null || subject === undefined) return;
    create.mutate(
      { baseRevisionId: baseId, subject: subject.id, policy },
      { onSuccess: ({ id }) => void navigate({ to: '/proposals/$proposalId', params: { proposalId: id } }) },
    );
  };
  if (driven.length === 0) return <Text>Nobody drove a revision of this calibration yet.</Text>;
  return (
    <form onSubmit={submit}>
      <Stack gap="sm">
        <div className={classes.form}>
          <Select
            label="Revision to be changed"
            allowDeselect={false}
            data={driven
              .map(({ id, number, shiftCount }) => ({
                value: id,
                label: `r${number}, ${counted(shiftCount, 'shift')}`,
              }))
              .reverse()}
            value={baseId}
            onChange={setBaseId}
          />
          <Select
            label="What is corrected"
            allowDeselect={false}
            data={subjects.map(({ id, title, unit }) => ({ value: id, label: `${title} (${unit})` }))}
            value={subject?.id ?? null}
            onChange={setSubjectId}
          />
        </div>
        {subject?.id.startsWith('fill:') && (
          <Text size="sm" c="dimmed">
            A flare alone does not tell a late fill from too little pressure: correct fill times once the pressures
            stand.
          </Text>
        )}
        <div className={classes.form}>
          {FIELDS.map(({ id, label, unit, step }) => (
            <NumberInput
              key={id}
              label={label}
              step={step}
              decimalScale={2}
              min={0}
              value={unit === '%' ? round(100 * policy[id]) : policy[id]}
              onChange={(value) =>
                typeof value === 'number' && setPolicy({ ...policy, [id]: unit === '%' ? value / 100 : value })
              }
              error={create.error !== null && fieldMessage(create.error, id)}
            />
          ))}
        </div>
        <Checkbox
          label="Let values with thin evidence go along"
          description="Only as far as course or slope would hold back a neighbour that has the evidence."
          checked={policy.carriesThin}
          onChange={(event) => setPolicy({ ...policy, carriesThin: event.currentTarget.checked })}
        />
        <Checkbox
          label="Count shifts under earlier revisions where the command was the same"
          description="They tell as much of the revision above as its own."
          checked={policy.useSameCommand || policy.useEarlierRevisions}
          disabled={policy.useEarlierRevisions}
          onChange={(event) => setPolicy({ ...policy, useSameCommand: event.currentTarget.checked })}
        />
        <Checkbox
          label="Count all shifts under earlier revisions"
          description="Carried over to the revision above by a model. Only where earlier maps were not far off: what was far off bends the estimate."
          checked={policy.useEarlierRevisions}
          onChange={(event) => setPolicy({ ...policy, useEarlierRevisions: event.currentTarget.checked })}
        />
        {create.error !== null && <ProblemNotice error={create.error} />}
        <Group justify="flex-end">
          <Button variant="default" onClick={onClose}>
            Not now
          </Button>
          <Button type="submit" loading={create.isPending} data-autofocus>
            Propose
          </Button>
        </Group>
      </Stack>
    </form>
  );
}

/** Without the dust of binary fractions. */
function round(value: number): number {
  return Math.round(value * 1000) / 1000;
}

function fieldMessage(error: Error, id: NumberField): string | undefined {
  return 'fieldMessage' in error && typeof error.fieldMessage === 'function'
    ? (error.fieldMessage as (name: string) => string | undefined)(`policy.${id}`)
    : undefined;
}

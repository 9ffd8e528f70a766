import { Button, Group, Modal, Stack, TextInput } from '@mantine/core';
import type { AnalysisRunResponse } from '@syncline/contract';
import { useState } from 'react';
import { useDiscardRun, useSwitchToRun } from '../../api/analysis-runs.js';
import { counted, formatCount } from '../../format/quantity.js';
import { ProblemNotice } from '../../parts/problem-notice.js';

/** The two ways to end a run, each asked once more before it is done. */
export function EndRun({ run }: { readonly run: AnalysisRunResponse }) {
  const [asking, setAsking] = useState<'switch' | 'discard' | null>(null);
  if (run.endedAt !== null) return null;
  const close = () => setAsking(null);
  return (
    <>
      <Group gap="sm" mt="sm">
        <Button disabled={run.state !== 'ready'} onClick={() => setAsking('switch')}>
          Switch to these results
        </Button>
        <Button variant="default" onClick={() => setAsking('discard')}>
          Discard
        </Button>
        {run.state !== 'ready' && <span>Can be switched to once every log has its new result.</span>}
      </Group>
      <Modal
        opened={asking === 'switch'}
        onClose={close}
        title="Switch to these results?"
        closeButtonProps={{ 'aria-label': 'Close' }}
      >
        <SwitchDialog run={run} onDone={close} />
      </Modal>
      <Modal
        opened={asking === 'discard'}
        onClose={close}
        title="Discard these results?"
        closeButtonProps={{ 'aria-label': 'Close' }}
      >
        <DiscardDialog run={run} onDone={close} />
      </Modal>
    </>
  );
}

interface DialogProps {
  readonly run: AnalysisRunResponse;
  readonly onDone: () => void;
}

function SwitchDialog({ run, onDone }: DialogProps) {
  const change = useSwitchToRun(run.id);
  const { effect } = run;
  return (
    <Stack gap="sm">
      {effect !== null && (
        <p style={{ margin: 0 }}>
          {counted(effect.logs.changed, 'log')} change: {counted(effect.total.found, 'shift')} found,{' '}
          {formatCount(effect.total.lost)} lost, {formatCount(effect.total.regraded)} graded otherwise. Every page,
          report and fleet figure of {run.platformTitle} shows the new results at once; those shown now are not kept.
        </p>
      )}
      {effect !== null && effect.logs.failed > 0 && (
        <p style={{ margin: 0 }}>
          {counted(effect.logs.failed, 'log')} could not be read again and keep the shifts that they have.
        </p>
      )}
      <p style={{ margin: 0 }}>The server may not answer for some seconds while it does this.</p>
      {change.error !== null && <ProblemNotice error={change.error} />}
      <Group justify="flex-end" gap="sm">
        <Button variant="default" onClick={onDone}>
          Not now
        </Button>
        <Button loading={change.isPending} onClick={() => change.mutate(undefined, { onSuccess: onDone })}>
          Switch
        </Button>
      </Group>
    </Stack>
  );
}

function DiscardDialog({ run, onDone }: DialogProps) {
  const discard = useDiscardRun(run.id);
  const [note, setNote] = useState('');
  return (
    <Stack gap="sm">
      <p style={{ margin: 0 }}>
        Pages go on showing what they show now, graded by policy {run.policyInForce}. The work of this run is lost; its
        effect stays readable here.
      </p>
      <TextInput
        label="Why"
        placeholder="To be read in the list of runs"
        value={note}
        maxLength={200}
        onChange={(event) => setNote(event.currentTarget.value)}
      />
      {discard.error !== null && <ProblemNotice error={discard.error} />}
      <Group justify="flex-end" gap="sm">
        <Button variant="default" onClick={onDone}>
          Not now
        </Button>
        <Button loading={discard.isPending} onClick={() => discard.mutate({ note }, { onSuccess: onDone })}>
          Discard
        </Button>
      </Group>
    </Stack>
  );
}

import { Button, Group, Modal, Text, Textarea } from '@mantine/core';
import type { ReleaseAct, ReleaseResponse } from '@syncline/contract';
import { useState } from 'react';
import { useActOnRelease } from '../../api/releases.js';
import { MapsCaution } from '../../parts/caution.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { ACT_EFFECTS, ACT_WORDS } from './release-words.js';

const NEEDS_REASON: readonly ReleaseAct[] = ['hold', 'resume', 'recall'];
/** Acts that bring maps into more cars. */
const GOES_ON: readonly ReleaseAct[] = ['start', 'widen', 'resume'];

/** States in which an act is shown at all; whether it may be done now is said beside it. */
const SHOWN_IN: Record<ReleaseAct, readonly ReleaseResponse['state'][]> = {
  start: ['draft'],
  widen: ['running'],
  hold: ['running', 'complete'],
  resume: ['held'],
  recall: ['draft', 'running', 'held', 'complete'],
};

/** What can be done with a release, each with its reason. */
export function ActButtons({ release }: { readonly release: ReleaseResponse }) {
  const [asked, setAsked] = useState<ReleaseAct | null>(null);
  const shown = release.acts.filter(({ act }) => SHOWN_IN[act].includes(release.state));
  const isLast = release.stage === release.stageCount - 1;
  return (
    <>
      {shown.map(({ act, whyNot }) => (
        <Button
          key={act}
          variant={act === 'start' || act === 'widen' || act === 'resume' ? 'filled' : 'default'}
          disabled={whyNot !== null}
          title={whyNot ?? undefined}
          onClick={() => setAsked(act)}
        >
          {act === 'widen' && isLast ? 'Complete' : ACT_WORDS[act].button}
        </Button>
      ))}
      {asked !== null && <ActDialog release={release} act={asked} onClose={() => setAsked(null)} />}
    </>
  );
}

interface ActDialogProps {
  readonly release: ReleaseResponse;
  readonly act: ReleaseAct;
  readonly onClose: () => void;
}

function ActDialog({ release, act, onClose }: ActDialogProps) {
  const [reason, setReason] = useState('');
  const mutation = useActOnRelease(release.id);
  const { button, title, label } = ACT_WORDS[act];
  const isMissing = NEEDS_REASON.includes(act) && reason.trim() === '';
  return (
    <Modal opened onClose={onClose} title={`${title}: ${release.revisionLabel}`}>
      <form
        onSubmit={(event) => {
          event.preventDefault();
          mutation.mutate({ act, reason: reason.trim() }, { onSuccess: onClose });
        }}
      >
        <Text size="sm" mb="sm">
          {ACT_EFFECTS[act]}
        </Text>
        {GOES_ON.includes(act) && <MapsCaution />}
        <Textarea
          label={label}
          description={NEEDS_REASON.includes(act) ? 'The people of the cars read it.' : undefined}
          autosize
          minRows={2}
          maxLength={1000}
          data-autofocus
          value={reason}
          onChange={(event) => setReason(event.currentTarget.value)}
        />
        {mutation.error !== null && <ProblemNotice error={mutation.error} />}
        <Group mt="md" gap="sm">
          <Button type="submit" loading={mutation.isPending} disabled={isMissing}>
            {button}
          </Button>
          <Button variant="default" onClick={onClose}>
            Cancel
          </Button>
        </Group>
      </form>
    </Modal>
  );
}

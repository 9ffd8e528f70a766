import { Button, Group, Modal, Stack, Text } from '@mantine/core';
import type { Application } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { useDecideApplication, useInviteApplicant, useRemoveApplication } from '../../api/applications.js';
import { unitQueries } from '../../api/control-units.js';
import { formatQuantity } from '../../format/quantity.js';
import { Instant } from '../../parts/instant.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { ApplicationStateMark } from '../../parts/state-mark.js';
import { WaitButton } from '../control-units/queue-section.js';
import { ShownOnce } from '../people/invite-form.js';
import { CLIMATE_WORDS, profileWords } from './profile-words.js';
import classes from './recruitment.module.css';

interface ApplicationCardProps {
  readonly application: Application;
  readonly mayDecide: boolean;
}

/** One application: who, which car, what it would add, and what to do with it. */
export function ApplicationCard({ application, mayDecide }: ApplicationCardProps) {
  const { name, email, state, note, fills, sameAddress, decidedByName, decidedAt } = application;
  return (
    <article className={classes.card} aria-label={name}>
      <h3 className={classes.title}>{name}</h3>
      <dl className={classes.facts}>
        <dt>State</dt>
        <dd>
          <ApplicationStateMark state={state} />
          {decidedAt !== null && (
            <span className={classes.small}>
              {decidedByName}, <Instant at={decidedAt} precision="day" />
              {note !== '' && `: ${note}`}
            </span>
          )}
        </dd>
        <dt>E-mail</dt>
        <dd>
          {email}
          {sameAddress > 0 && <span className={classes.small}>wrote {sameAddress + 1} times</span>}
        </dd>
        {factsOf(application).map(([term, value]) => (
          <Fact key={term} term={term} value={value} />
        ))}
        <dt>Received</dt>
        <dd>
          <Instant at={application.receivedAt} precision="day" />, consent version {application.consentVersion}
        </dd>
        <dt>Would fill</dt>
        <dd>
          {fills.length === 0 ? (
            'nothing that is lacking'
          ) : (
            <ul className={classes.plain}>
              {fills.map((need) => (
                <li key={`${need.dimension} ${need.value}`}>{profileWords(need)}</li>
              ))}
            </ul>
          )}
        </dd>
      </dl>
      {mayDecide && <Decision application={application} />}
    </article>
  );
}

function Fact({ term, value }: { readonly term: string; readonly value: string }) {
  return (
    <>
      <dt>{term}</dt>
      <dd>{value}</dd>
    </>
  );
}

/** What the applicant said, without what was left empty. */
function factsOf(application: Application): (readonly [string, string])[] {
  const { car, engine, gearboxLabel, platformTitle, dialect, place, climates, yearlyKm, logger } = application;
  const facts = [
    ['Car', car],
    ['Engine', engine],
    ['Gearbox', platformTitle ?? 'not known'],
    ['Its label', gearboxLabel],
    ['Bus dialect', dialect ?? ''],
    ['Where', place],
    ['Climate', climates.map((climate) => CLIMATE_WORDS[climate]).join(', ')],
    ['In a year', yearlyKm === null ? '' : formatQuantity(yearlyKm, 'km', 0)],
    ['Logger', logger],
  ] as const;
  return facts.filter(([, value]) => value !== '');
}

function Decision({ application }: { readonly application: Application }) {
  const { id, state } = application;
  const decide = useDecideApplication(id);
  const invite = useInviteApplicant(id);
  const [isRemoving, setRemoving] = useState(false);
  const queue = useQuery(unitQueries.queue()).data?.items ?? [];
  const isWaiting = queue.some(({ applicationId }) => applicationId === id);
  const error = decide.error ?? invite.error;
  return (
    <>
      <Group mt="sm" gap="xs">
        <Button size="compact-sm" loading={invite.isPending} onClick={() => invite.mutate()}>
          {state === 'invited' ? 'New link' : 'Invite'}
        </Button>
        {(['waiting', 'declined'] as const)
          .filter((decision) => decision !== state)
          .map((decision) => (
            <Button
              key={decision}
              size="compact-sm"
              variant="default"
              loading={decide.isPending}
              onClick={() => decide.mutate({ decision })}
            >
              {decision === 'waiting' ? 'Let wait' : 'Decline'}
            </Button>
          ))}
        {state !== 'declined' && <WaitButton applicationId={id} waits={isWaiting} />}
        <Button size="compact-sm" variant="default" onClick={() => setRemoving(true)}>
          Delete
        </Button>
      </Group>
      {error !== null && <ProblemNotice error={error} />}
      {invite.data !== undefined && <ShownOnce invitation={invite.data} />}
      <Modal
        opened={isRemoving}
        onClose={() => setRemoving(false)}
        title="Delete the application?"
        closeButtonProps={{ 'aria-label': 'Close' }}
      >
        <RemoveQuestion application={application} onClose={() => setRemoving(false)} />
      </Modal>
    </>
  );
}

function RemoveQuestion({ application, onClose }: { readonly application: Application; readonly onClose: () => void }) {
  const remove = useRemoveApplication(application.id);
  return (
    <Stack gap="sm">
      <Text>
        All that {application.name} has sent is removed and cannot be brought back. An invitation that was made stays as
        it is; the audit trail says that an application was deleted, not whose.
      </Text>
      {remove.error !== null && <ProblemNotice error={remove.error} />}
      <Group justify="flex-end">
        <Button variant="default" data-autofocus onClick={onClose}>
          Keep it
        </Button>
        <Button
          color="red.9"
          loading={remove.isPending}
          onClick={() => remove.mutate(undefined, { onSuccess: onClose })}
        >
          Delete it
        </Button>
      </Group>
    </Stack>
  );
}

import { Button, Group, Modal, Stack, Text, TextInput } from '@mantine/core';
import type { Person } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useRouter } from '@tanstack/react-router';
import { type ReactNode, useState } from 'react';
import {
  peopleQueries,
  useEndSessionsOf,
  useErase,
  useMakeResetLink,
  useReactivate,
  useRemoveSecondFactorOf,
  useSuspend,
} from '../../api/people.js';
import { useSession } from '../../api/session.js';
import { ROLE_WORDS } from '../../format/words.js';
import { EraseAct } from '../../parts/erase-act.js';
import { Instant } from '../../parts/instant.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { SecretLink } from '../../parts/secret-link.js';
import classes from './people.module.css';

interface AccountDialogProps {
  /** Whose account is open; undefined for none. */
  readonly personId: string | undefined;
  readonly onClose: () => void;
}

/** What a maintainer can do about the account of a member. */
export function AccountDialog({ personId, onClose }: AccountDialogProps) {
  const people = useQuery(peopleQueries.list()).data?.items ?? [];
  const person = people.find(({ id }) => id === personId);
  return (
    <Modal
      opened={person !== undefined}
      onClose={onClose}
      size="lg"
      title={person === undefined ? '' : `${person.name}, ${ROLE_WORDS[person.role].toLowerCase()}`}
      closeButtonProps={{ 'aria-label': 'Close' }}
    >
      {person !== undefined && <Acts key={person.id} person={person} />}
    </Modal>
  );
}

function Acts({ person }: { readonly person: Person }) {
  const isSelf = useSession().person.id === person.id;
  if (person.erasedAt !== null) {
    return (
      <Text size="sm">
        Her data were removed on <Instant at={person.erasedAt} precision="day" />; there is nobody behind this account.
      </Text>
    );
  }
  return (
    <Stack gap="md">
      <SignInsAct person={person} />
      <ResetAct person={person} />
      {!isSelf && person.hasSecondFactor && <SecondFactorAct person={person} />}
      {!isSelf && (person.role === 'tester' || person.role === 'reader') && <ErasureAct person={person} />}
      {!isSelf && (person.suspendedAt === null ? <SuspendAct person={person} /> : <ReactivateAct person={person} />)}
    </Stack>
  );
}

interface ActProps {
  readonly title: string;
  /** What comes of it. */
  readonly note: ReactNode;
  readonly error: unknown;
  readonly children: ReactNode;
}

function Act({ title, note, error, children }: ActProps) {
  return (
    <section className={classes.act} aria-label={title}>
      <Text fw={600}>{title}</Text>
      <Text size="sm">{note}</Text>
      {children}
      {error !== null && <ProblemNotice error={error} />}
    </section>
  );
}

function SignInsAct({ person }: { readonly person: Person }) {
  const end = useEndSessionsOf(person.id);
  return (
    <Act
      title="Sign-ins"
      note="Ends them all, in every browser: after a computer was lost. Tokens of programs stay; revoke them on the list below."
      error={end.error}
    >
      <Group gap="sm">
        <Button variant="default" size="xs" loading={end.isPending} onClick={() => end.mutate(undefined)}>
          End all sign-ins
        </Button>
        {end.isSuccess && <span role="status">All have ended.</span>}
      </Group>
    </Act>
  );
}

function ResetAct({ person }: { readonly person: Person }) {
  const make = useMakeResetLink(person.id);
  const router = useRouter();
  const secret = make.data?.path.split('/').at(-1) ?? '';
  const { href } = router.buildLocation({ to: '/reset/$secret', params: { secret } });
  return (
    <Act
      title="New password"
      note="A link by which she chooses a new password; it works once and for a day. Hand it over by a way that you trust: whoever has it can use it. A second factor is still asked for."
      error={make.error}
    >
      <div>
        <Button variant="default" size="xs" loading={make.isPending} onClick={() => make.mutate(undefined)}>
          Make a link
        </Button>
      </div>
      {make.data !== undefined && (
        <SecretLink address={new URL(href, window.location.origin).href}>
          For {person.name}, until <Instant at={make.data.expiresAt} />. A link made before is good no more.
        </SecretLink>
      )}
    </Act>
  );
}

function SecondFactorAct({ person }: { readonly person: Person }) {
  const remove = useRemoveSecondFactorOf(person.id);
  return (
    <Act
      title="Second factor"
      note="For who has lost both app and recovery codes. Be sure who asks: after this the password alone lets in."
      error={remove.error}
    >
      <div>
        <Button variant="default" size="xs" loading={remove.isPending} onClick={() => remove.mutate(undefined)}>
          Remove the second factor
        </Button>
      </div>
    </Act>
  );
}

function ErasureAct({ person }: { readonly person: Person }) {
  const erase = useErase(person.id);
  return (
    <Act title="Remove her data" note="For a member who leaves and asks for it." error={null}>
      <EraseAct
        email={person.email}
        label={`Remove the data of ${person.name}`}
        error={erase.error}
        isPending={erase.isPending}
        onErase={(email) => erase.mutate(email)}
      />
    </Act>
  );
}

function SuspendAct({ person }: { readonly person: Person }) {
  const suspend = useSuspend(person.id);
  const [reason, setReason] = useState('');
  return (
    <Act
      title="Suspend"
      note="Keeps her out, her programs too, until a maintainer says otherwise. Cars, drives and what she wrote stay."
      error={suspend.error}
    >
      <Group gap="sm" align="flex-end">
        <TextInput
          label="Reason"
          placeholder="For the audit trail"
          maxLength={200}
          w={280}
          value={reason}
          onChange={(event) => setReason(event.currentTarget.value)}
        />
        <Button color="red.9" size="xs" loading={suspend.isPending} onClick={() => suspend.mutate(reason)}>
          Suspend {person.name}
        </Button>
      </Group>
    </Act>
  );
}

function ReactivateAct({ person }: { readonly person: Person }) {
  const reactivate = useReactivate(person.id);
  return (
    <Act
      title="Suspended"
      note={
        <>
          Since <Instant at={person.suspendedAt} />. The audit trail says by whom and why.
        </>
      }
      error={reactivate.error}
    >
      <div>
        <Button size="xs" loading={reactivate.isPending} onClick={() => reactivate.mutate(undefined)}>
          Let {person.name} in again
        </Button>
      </div>
    </Act>
  );
}

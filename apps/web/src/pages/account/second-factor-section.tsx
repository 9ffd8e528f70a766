import { Button, Group, PasswordInput, Stack } from '@mantine/core';
import { passwordRequest, type SecondFactorState } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { accountQueries, useRemoveSecondFactor, useRenewRecoveryCodes } from '../../api/account.js';
import { counted } from '../../format/quantity.js';
import { Instant } from '../../parts/instant.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { OnOffMark } from '../../parts/state-mark.js';
import { useForm } from '../../parts/use-form.js';
import classes from './account.module.css';
import { AddSecondFactor } from './add-second-factor.js';
import { RecoveryCodes } from './recovery-codes.js';

/** Codes of an authenticator app beside the password. */
export function SecondFactorSection() {
  const state = useQuery(accountQueries.secondFactor());
  return (
    <Section
      title="Second factor"
      note="With it, sign-in asks for a code of an app on your telephone after the password. Any app that reads time-based codes (RFC 6238) will do."
    >
      <QueryView query={state}>
        {(data) => (data.isOn ? <Present state={data} /> : <AddSecondFactor needsPassword={data.needsPassword} />)}
      </QueryView>
    </Section>
  );
}

function Present({ state }: { readonly state: SecondFactorState }) {
  const [act, setAct] = useState<'renew' | 'remove' | null>(null);
  return (
    <Stack gap="sm">
      <div>
        <OnOffMark isOn /> since <Instant at={state.since} precision="day" />;{' '}
        {counted(state.recoveryCodesLeft, 'recovery code')} left.
      </div>
      {act === null ? (
        <Group gap="sm">
          <Button variant="default" size="xs" onClick={() => setAct('renew')}>
            New recovery codes
          </Button>
          {state.isRequired ? (
            <span>This club asks maintainers for one, so that it cannot be removed here.</span>
          ) : (
            <Button variant="default" size="xs" onClick={() => setAct('remove')}>
              Remove
            </Button>
          )}
        </Group>
      ) : (
        <AskPassword act={act} needsPassword={state.needsPassword} onDone={() => setAct(null)} />
      )}
    </Stack>
  );
}

const WORDS = {
  renew: { go: 'Make new codes', what: 'The codes before are good no more.' },
  remove: { go: 'Remove the second factor', what: 'Sign-in then asks for the password alone.' },
} as const;

interface AskPasswordProps {
  readonly act: keyof typeof WORDS;
  readonly needsPassword: boolean;
  readonly onDone: () => void;
}

function AskPassword({ act, needsPassword, onDone }: AskPasswordProps) {
  const renew = useRenewRecoveryCodes();
  const remove = useRemoveSecondFactor();
  const { error, isPending } = act === 'renew' ? renew : remove;
  const form = useForm({
    initial: { password: '' },
    schema: passwordRequest,
    error,
    onSubmit: ({ password }) => {
      if (act === 'renew') renew.mutate(password);
      else remove.mutate(password, { onSuccess: onDone });
    },
  });
  if (renew.data !== undefined) return <RecoveryCodes codes={renew.data.codes} onKept={onDone} />;
  return (
    <form onSubmit={form.submit} noValidate className={classes.form}>
      <Stack gap="sm">
        <div>{WORDS[act].what}</div>
        {needsPassword && (
          <PasswordInput label="Your password" autoComplete="current-password" {...form.field('password')} />
        )}
        {error !== null && <ProblemNotice error={error} />}
        <Group gap="sm">
          <Button type="submit" loading={isPending}>
            {WORDS[act].go}
          </Button>
          <Button variant="default" onClick={onDone}>
            Leave it
          </Button>
        </Group>
      </Stack>
    </form>
  );
}

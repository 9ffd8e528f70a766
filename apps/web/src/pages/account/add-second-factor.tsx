import { Button, Code, PasswordInput, Stack, Text, TextInput } from '@mantine/core';
import { type NewSecondFactor, passwordRequest } from '@syncline/contract';
import { type FormEvent, useState } from 'react';
import { useBeginSecondFactor, useConfirmSecondFactor, useSecondFactorChanged } from '../../api/account.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { QrPicture } from '../../parts/qr-picture.js';
import { useForm } from '../../parts/use-form.js';
import classes from './account.module.css';
import { RecoveryCodes } from './recovery-codes.js';

/** Three steps: the password, the secret into the app and its first code back, the recovery codes. */
export function AddSecondFactor({ needsPassword }: { readonly needsPassword: boolean }) {
  const begin = useBeginSecondFactor();
  const form = useForm({
    initial: { password: '' },
    schema: passwordRequest,
    error: begin.error,
    onSubmit: ({ password }) => begin.mutate(password),
  });
  if (begin.data !== undefined) return <ConfirmSecondFactor factor={begin.data} />;
  return (
    <form onSubmit={form.submit} noValidate className={classes.form}>
      <Stack gap="sm">
        {needsPassword && (
          <PasswordInput label="Your password" autoComplete="current-password" {...form.field('password')} />
        )}
        {begin.error !== null && <ProblemNotice error={begin.error} />}
        <div>
          <Button type="submit" loading={begin.isPending}>
            Add an authenticator app
          </Button>
        </div>
      </Stack>
    </form>
  );
}

function ConfirmSecondFactor({ factor }: { readonly factor: NewSecondFactor }) {
  const [code, setCode] = useState('');
  const confirm = useConfirmSecondFactor();
  const changed = useSecondFactorChanged();
  if (confirm.data !== undefined) return <RecoveryCodes codes={confirm.data.codes} onKept={() => void changed()} />;
  const submit = (event: FormEvent) => {
    event.preventDefault();
    confirm.mutate({ code });
  };
  return (
    <form onSubmit={submit} noValidate className={classes.form}>
      <Stack gap="sm">
        <Text>Point the app at this picture, or type the secret into it. Then enter the code that the app shows.</Text>
        <QrPicture text={factor.uri} label="Picture for the authenticator app; the secret below says the same" />
        <div>
          Secret <Code className={classes.secret ?? ''}>{factor.secret.replace(/.{4}(?=.)/g, '$& ')}</Code>
        </div>
        <TextInput
          label="Code of the app"
          description="Six digits, new every 30 s"
          inputMode="numeric"
          autoComplete="one-time-code"
          w={220}
          value={code}
          onChange={(event) => setCode(event.currentTarget.value)}
        />
        {confirm.error !== null && <ProblemNotice error={confirm.error} />}
        <div>
          <Button type="submit" loading={confirm.isPending} disabled={code.trim().length < 6}>
            Confirm
          </Button>
        </div>
      </Stack>
    </form>
  );
}

import { Button, PasswordInput, Stack, Text, TextInput } from '@mantine/core';
import { signInRequest } from '@syncline/contract';
import { useState } from 'react';
import { isProblem } from '../../api/api-problem.js';
import { useSignIn } from '../../api/session.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { useForm } from '../../parts/use-form.js';
import { CodeField } from './code-field.js';

const withCode = signInRequest.required({ code: true });

/** Address and password; the code of a second factor is asked for once they were right. */
export function PasswordForm({ onEntered }: { readonly onEntered: () => void }) {
  const signIn = useSignIn();
  const [isCodeAsked, setCodeAsked] = useState(false);
  const isFirstAsk = isProblem(signIn.error, 'session.codeNeeded');
  const form = useForm({
    initial: { email: '', password: '', code: '' },
    schema: isCodeAsked ? withCode : signInRequest.omit({ code: true }),
    error: signIn.error,
    onSubmit: (request) =>
      signIn.mutate(request, {
        onSuccess: onEntered,
        onError: (error) => isProblem(error, 'session.codeNeeded') && setCodeAsked(true),
      }),
  });
  return (
    <form onSubmit={form.submit} noValidate>
      <Stack gap="sm">
        <TextInput label="E-mail address" type="email" autoComplete="username" autoFocus {...form.field('email')} />
        <PasswordInput label="Password" autoComplete="current-password" {...form.field('password')} />
        {isCodeAsked && <CodeField {...form.field('code')} />}
        {signIn.error !== null && !isFirstAsk && <ProblemNotice error={signIn.error} />}
        <Button type="submit" loading={signIn.isPending}>
          Sign in
        </Button>
        <Text size="sm" c="dimmed">
          New here? A maintainer sends you a link. Password or authenticator app lost? Ask a maintainer too.
        </Text>
      </Stack>
    </form>
  );
}

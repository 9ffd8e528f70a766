import { Button, PasswordInput, Stack, Text, TextInput } from '@mantine/core';
import { signInRequest } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { Navigate, useRouter, useSearch } from '@tanstack/react-router';
import { sessionQueries, useSignIn } from '../../api/session.js';
import { PageHead } from '../../parts/page-head.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { useForm } from '../../parts/use-form.js';
import { PublicFrame } from '../../shell/public-frame.js';

/** Sign-in; afterwards the page that was asked for opens. */
export function SignInPage() {
  const router = useRouter();
  const { to } = useSearch({ from: '/sign-in' });
  const setup = useQuery(sessionQueries.setup());
  const signIn = useSignIn();
  const form = useForm({
    initial: { email: '', password: '' },
    schema: signInRequest,
    error: signIn.error,
    onSubmit: (request) =>
      signIn.mutate(request, { onSuccess: () => router.history.push(to ?? router.buildLocation({ to: '/' }).href) }),
  });
  if (setup.data?.isNeeded) return <Navigate to="/setup" replace />;
  return (
    <PublicFrame>
      <PageHead title="Sign in" lead="Evidence on gear shifts across a fleet of test cars." />
      <form onSubmit={form.submit} noValidate>
        <Stack gap="sm">
          <TextInput label="E-mail address" type="email" autoComplete="username" autoFocus {...form.field('email')} />
          <PasswordInput label="Password" autoComplete="current-password" {...form.field('password')} />
          {signIn.error !== null && <ProblemNotice error={signIn.error} />}
          <Button type="submit" loading={signIn.isPending}>
            Sign in
          </Button>
          <Text size="sm" c="dimmed">
            New here? A maintainer sends you a link. Password lost? Ask a maintainer too.
          </Text>
        </Stack>
      </form>
    </PublicFrame>
  );
}

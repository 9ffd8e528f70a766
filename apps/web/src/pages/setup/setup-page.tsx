import { Button, PasswordInput, Stack, TextInput } from '@mantine/core';
import { setupRequest, TERMS_VERSION } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useNavigate } from '@tanstack/react-router';
import { sessionQueries, useSetup } from '../../api/session.js';
import { EmptyState } from '../../parts/empty-state.js';
import { PageHead } from '../../parts/page-head.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { QueryView } from '../../parts/query-view.js';
import { TermsField } from '../../parts/terms-field.js';
import { ButtonLink } from '../../parts/text-link.js';
import { useForm } from '../../parts/use-form.js';
import { PublicFrame } from '../../shell/public-frame.js';

/** First run: makes the club and its first maintainer. */
export function SetupPage() {
  const state = useQuery(sessionQueries.setup());
  return (
    <PublicFrame>
      <QueryView query={state}>{({ isNeeded }) => (isNeeded ? <SetupForm /> : <AlreadyDone />)}</QueryView>
    </PublicFrame>
  );
}

function AlreadyDone() {
  return (
    <>
      <PageHead title="Set up" />
      <EmptyState title="This server is set up" action={<ButtonLink to="/sign-in">Sign in</ButtonLink>}>
        Its first maintainer exists. Further people come by invitation.
      </EmptyState>
    </>
  );
}

function SetupForm() {
  const navigate = useNavigate();
  const setup = useSetup();
  const form = useForm({
    initial: {
      clubName: '',
      name: '',
      email: '',
      password: '',
      hasConsented: false,
      termsVersion: TERMS_VERSION,
    },
    schema: setupRequest,
    error: setup.error,
    onSubmit: (request) => setup.mutate(request, { onSuccess: () => void navigate({ to: '/fleet' }) }),
  });
  return (
    <>
      <PageHead
        title="Set up"
        lead="Name the club and make its first maintainer. Testers and reviewers come later, by invitation."
      />
      <form onSubmit={form.submit} noValidate>
        <Stack gap="sm">
          <TextInput
            label="Name of the club"
            description="Shown to everyone who is invited"
            {...form.field('clubName')}
          />
          <TextInput label="Your name" autoComplete="name" {...form.field('name')} />
          <TextInput label="E-mail address" type="email" autoComplete="username" {...form.field('email')} />
          <PasswordInput
            label="Password"
            description="At least 12 characters"
            autoComplete="new-password"
            {...form.field('password')}
          />
          <TermsField
            isAgreed={form.values.hasConsented}
            fault={form.choice('hasConsented').error}
            onChange={(isAgreed) => form.set('hasConsented', isAgreed)}
          />
          {setup.error !== null && <ProblemNotice error={setup.error} />}
          <Button type="submit" loading={setup.isPending}>
            Make the club
          </Button>
        </Stack>
      </form>
    </>
  );
}

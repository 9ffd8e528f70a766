import { Button, PasswordInput, Stack, TextInput } from '@mantine/core';
import { acceptInvitationRequest, type Role } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useNavigate, useParams } from '@tanstack/react-router';
import { sessionQueries, useAcceptInvitation } from '../../api/session.js';
import { ROLE_WORDS } from '../../format/words.js';
import { DrivingCaution } from '../../parts/caution.js';
import { Instant } from '../../parts/instant.js';
import { PageHead } from '../../parts/page-head.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { QueryView } from '../../parts/query-view.js';
import { useForm } from '../../parts/use-form.js';
import { PublicFrame } from '../../shell/public-frame.js';

/** What an invitation link opens. */
export function JoinPage() {
  const { secret } = useParams({ from: '/join/$secret' });
  const invitation = useQuery(sessionQueries.invitation(secret));
  const { data } = invitation;
  return (
    <PublicFrame>
      <PageHead
        title={data === undefined ? 'Join' : `Join ${data.clubName}`}
        lead={data && <Terms role={data.role} expiresAt={data.expiresAt} />}
        cautions={data?.role === 'tester' ? <DrivingCaution /> : undefined}
      />
      <QueryView query={invitation}>{() => <JoinForm secret={secret} />}</QueryView>
    </PublicFrame>
  );
}

function Terms({ role, expiresAt }: { readonly role: Role; readonly expiresAt: string }) {
  return (
    <>
      You are invited as {ROLE_WORDS[role].toLowerCase()}. The link can be used once, until <Instant at={expiresAt} />.
    </>
  );
}

function JoinForm({ secret }: { readonly secret: string }) {
  const navigate = useNavigate();
  const accept = useAcceptInvitation(secret);
  const form = useForm({
    initial: { name: '', email: '', password: '' },
    schema: acceptInvitationRequest,
    error: accept.error,
    onSubmit: (request) => accept.mutate(request, { onSuccess: () => void navigate({ to: '/' }) }),
  });
  return (
    <form onSubmit={form.submit} noValidate>
      <Stack gap="sm">
        <TextInput
          label="Your name"
          description="Other testers do not see it"
          autoComplete="name"
          {...form.field('name')}
        />
        <TextInput label="E-mail address" type="email" autoComplete="username" {...form.field('email')} />
        <PasswordInput
          label="Password"
          description="At least 12 characters"
          autoComplete="new-password"
          {...form.field('password')}
        />
        {accept.error !== null && <ProblemNotice error={accept.error} />}
        <Button type="submit" loading={accept.isPending}>
          Join
        </Button>
      </Stack>
    </form>
  );
}

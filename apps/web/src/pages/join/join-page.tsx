import { Button, PasswordInput, Stack, TextInput } from '@mantine/core';
import { acceptInvitationRequest, type Role, TERMS_VERSION } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useNavigate, useParams } from '@tanstack/react-router';
import { sessionQueries, useAcceptInvitation, useBeginOpenId } from '../../api/session.js';
import { ROLE_WORDS } from '../../format/words.js';
import { DrivingCaution } from '../../parts/caution.js';
import { Instant } from '../../parts/instant.js';
import { PageHead } from '../../parts/page-head.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { QueryView } from '../../parts/query-view.js';
import { TermsField } from '../../parts/terms-field.js';
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
    initial: { name: '', email: '', password: '', hasConsented: false, termsVersion: TERMS_VERSION },
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
        <TermsField
          isAgreed={form.values.hasConsented}
          fault={form.choice('hasConsented').error}
          onChange={(isAgreed) => form.set('hasConsented', isAgreed)}
        />
        {accept.error !== null && <ProblemNotice error={accept.error} />}
        <Button type="submit" loading={accept.isPending}>
          Join
        </Button>
        <JoinByProvider secret={secret} isAgreed={form.values.hasConsented} />
      </Stack>
    </form>
  );
}

/** Joins as whom a provider vouches for: no password is chosen here. */
function JoinByProvider({ secret, isAgreed }: { readonly secret: string; readonly isAgreed: boolean }) {
  const offer = useQuery(sessionQueries.openId()).data?.name ?? null;
  const begin = useBeginOpenId();
  if (offer === null) return null;
  const joining = { invitation: secret, hasConsented: true, termsVersion: TERMS_VERSION } as const;
  return (
    <>
      <Button
        variant="default"
        disabled={!isAgreed}
        loading={begin.isPending}
        onClick={() => begin.mutate({ joining })}
      >
        Agree and join by {offer}
      </Button>
      {begin.error !== null && <ProblemNotice error={begin.error} />}
    </>
  );
}

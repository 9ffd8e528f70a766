import { Button, PasswordInput, Stack } from '@mantine/core';
import { resetRequest } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useParams } from '@tanstack/react-router';
import { accountQueries, useResetPassword } from '../../api/account.js';
import { EmptyState } from '../../parts/empty-state.js';
import { Instant } from '../../parts/instant.js';
import { PageHead } from '../../parts/page-head.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { QueryView } from '../../parts/query-view.js';
import { ButtonLink } from '../../parts/text-link.js';
import { useForm } from '../../parts/use-form.js';
import { PublicFrame } from '../../shell/public-frame.js';

/** What a link for a new password opens. */
export function ResetPage() {
  const { secret } = useParams({ from: '/reset/$secret' });
  const reset = useResetPassword(secret);
  const state = useQuery({ ...accountQueries.reset(secret), enabled: !reset.isSuccess });
  const { data } = state;
  if (reset.isSuccess) {
    return (
      <PublicFrame>
        <PageHead title="New password" />
        <EmptyState title="The password is changed" action={<ButtonLink to="/sign-in">Sign in</ButtonLink>}>
          Every sign-in of before has ended. Who has a second factor still needs its code.
        </EmptyState>
      </PublicFrame>
    );
  }
  return (
    <PublicFrame>
      <PageHead
        title="New password"
        lead={
          data && (
            <>
              For {data.name} of {data.clubName}. The link can be used once, until <Instant at={data.expiresAt} />.
            </>
          )
        }
      />
      <QueryView query={state}>{() => <ResetForm reset={reset} />}</QueryView>
    </PublicFrame>
  );
}

function ResetForm({ reset }: { readonly reset: ReturnType<typeof useResetPassword> }) {
  const form = useForm({
    initial: { newPassword: '' },
    schema: resetRequest,
    error: reset.error,
    onSubmit: (request) => reset.mutate(request),
  });
  return (
    <form onSubmit={form.submit} noValidate>
      <Stack gap="sm">
        <PasswordInput
          label="New password"
          description="At least 12 characters"
          autoComplete="new-password"
          {...form.field('newPassword')}
        />
        {reset.error !== null && <ProblemNotice error={reset.error} />}
        <Button type="submit" loading={reset.isPending}>
          Change the password
        </Button>
      </Stack>
    </form>
  );
}

import { Button, Stack } from '@mantine/core';
import { useQuery } from '@tanstack/react-query';
import { sessionQueries, useBeginOpenId } from '../../api/session.js';
import { ProblemNotice } from '../../parts/problem-notice.js';

/** Sign-in by a provider, where the club has one. */
export function ProviderSignIn({ to }: { readonly to: string | undefined }) {
  const offer = useQuery(sessionQueries.openId()).data?.name ?? null;
  const begin = useBeginOpenId();
  if (offer === null) return null;
  return (
    <Stack gap="sm" mt="md">
      <Button variant="default" loading={begin.isPending} onClick={() => begin.mutate(to === undefined ? {} : { to })}>
        Sign in by {offer}
      </Button>
      {begin.error !== null && <ProblemNotice error={begin.error} />}
    </Stack>
  );
}

import { Button, Stack, Text } from '@mantine/core';
import { codeRequest } from '@syncline/contract';
import { useEnterCode } from '../../api/session.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { TextLink } from '../../parts/text-link.js';
import { useForm } from '../../parts/use-form.js';
import { CodeField } from './code-field.js';

/** The second factor of somebody who comes back from a provider. */
export function ProviderCodeForm({ onEntered }: { readonly onEntered: () => void }) {
  const enter = useEnterCode();
  const form = useForm({
    initial: { code: '' },
    schema: codeRequest,
    error: enter.error,
    onSubmit: (request) => enter.mutate(request, { onSuccess: onEntered }),
  });
  return (
    <form onSubmit={form.submit} noValidate>
      <Stack gap="sm">
        <CodeField {...form.field('code')} />
        {enter.error !== null && <ProblemNotice error={enter.error} />}
        <Button type="submit" loading={enter.isPending}>
          Sign in
        </Button>
        <Text size="sm">
          <TextLink to="/sign-in">Begin again</TextLink>
        </Text>
      </Stack>
    </form>
  );
}

import { Button, PasswordInput, Stack } from '@mantine/core';
import { changePasswordRequest } from '@syncline/contract';
import { useChangePassword } from '../../api/account.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { Section } from '../../parts/section.js';
import { useForm } from '../../parts/use-form.js';
import classes from './account.module.css';

const EMPTY = { password: '', newPassword: '' };

/** A new password, for who knows the old one. */
export function PasswordSection() {
  const change = useChangePassword();
  const form = useForm({
    initial: EMPTY,
    schema: changePasswordRequest,
    error: change.error,
    onSubmit: (request) =>
      change.mutate(request, {
        onSuccess: () => {
          form.set('password', '');
          form.set('newPassword', '');
        },
      }),
  });
  return (
    <Section
      title="Password"
      note="A new one ends every other sign-in. If you have lost it, ask a maintainer for a link."
    >
      <form onSubmit={form.submit} noValidate className={classes.form}>
        <Stack gap="sm">
          <PasswordInput label="Present password" autoComplete="current-password" {...form.field('password')} />
          <PasswordInput
            label="New password"
            description="At least 12 characters"
            autoComplete="new-password"
            {...form.field('newPassword')}
          />
          {change.error !== null && <ProblemNotice error={change.error} />}
          <div>
            <Button type="submit" loading={change.isPending}>
              Change the password
            </Button>
          </div>
          {change.isSuccess && <div role="status">The password is changed; your other sign-ins have ended.</div>}
        </Stack>
      </form>
    </Section>
  );
}

import { Button, Group, Select, TextInput } from '@mantine/core';
import { type Invitation, invitationRequest, ROLES } from '@syncline/contract';
import { useRouter } from '@tanstack/react-router';
import { useInvite } from '../../api/people.js';
import { ROLE_WORDS } from '../../format/words.js';
import { Instant } from '../../parts/instant.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { SecretLink } from '../../parts/secret-link.js';
import { Section } from '../../parts/section.js';
import { useForm } from '../../parts/use-form.js';

/** Makes an invitation; its link is shown this once. */
export function InviteForm() {
  const invite = useInvite();
  const form = useForm({
    initial: { role: 'tester', note: '' },
    schema: invitationRequest,
    error: invite.error,
    onSubmit: (request) => invite.mutate(request, { onSuccess: () => form.set('note', '') }),
  });
  return (
    <Section
      title="Invite"
      note="A tester enters cars and uploads drives; a reviewer reads everything and decides on reviews; a reader sees what a reviewer sees, but for applications, and changes nothing; a maintainer may do all."
    >
      <form onSubmit={form.submit} noValidate>
        <Group align="flex-end" gap="sm">
          <Select
            label="Role"
            w={150}
            allowDeselect={false}
            data={ROLES.map((value) => ({ value, label: ROLE_WORDS[value] }))}
            {...form.choice('role')}
          />
          <TextInput
            label="Note"
            placeholder="For whom, to find it in the audit trail"
            w={300}
            {...form.field('note')}
          />
          <Button type="submit" loading={invite.isPending}>
            Make a link
          </Button>
        </Group>
      </form>
      {invite.error !== null && <ProblemNotice error={invite.error} />}
      {invite.data !== undefined && <ShownOnce invitation={invite.data} />}
    </Section>
  );
}

/** The link of an invitation, to be copied: it is never shown again. */
export function ShownOnce({ invitation }: { readonly invitation: Invitation }) {
  const router = useRouter();
  const secret = invitation.path.split('/').at(-1) ?? '';
  const { href } = router.buildLocation({ to: '/join/$secret', params: { secret } });
  const address = new URL(href, window.location.origin).href;
  return (
    <SecretLink address={address}>
      For one {ROLE_WORDS[invitation.role].toLowerCase()}, until <Instant at={invitation.expiresAt} />.
    </SecretLink>
  );
}

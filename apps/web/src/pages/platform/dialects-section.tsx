import { Button, Group, SegmentedControl, Text, TextInput } from '@mantine/core';
import { addDialectRequest, type PlatformResponse } from '@syncline/contract';
import { useNavigate, useSearch } from '@tanstack/react-router';
import { useAddDialect } from '../../api/platforms.js';
import { EmptyState } from '../../parts/empty-state.js';
import { HelpTerm } from '../../parts/help-term.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { Section } from '../../parts/section.js';
import { useForm } from '../../parts/use-form.js';
import { ProfileSection } from './profile-section.js';
import { SignalListSection } from './signal-list-section.js';

interface DialectsSectionProps {
  readonly platform: PlatformResponse['platform'];
  readonly mayWrite: boolean;
}

/** The bus dialects of a gearbox's cars: one is open, with its signal list and its profile. */
export function DialectsSection({ platform, mayWrite }: DialectsSectionProps) {
  const navigate = useNavigate();
  const { dialect } = useSearch({ from: '/house/platforms/$platformId' });
  const open = platform.dialects.find(({ id }) => id === dialect) ?? platform.dialects[0];
  return (
    <>
      <Section
        title={<HelpTerm term="dialect">Bus dialects</HelpTerm>}
        note="How the buses of these cars are spoken and read. Captures of cars are held against the profiles; no car runs a revision before its dialect is confirmed."
      >
        {open === undefined ? (
          <EmptyState title="No dialect yet">
            {mayWrite ? 'Add one, then enter its signal list.' : 'A maintainer adds them.'}
          </EmptyState>
        ) : (
          <SegmentedControl
            aria-label="Bus dialect"
            value={open.id}
            data={platform.dialects.map(({ id, title }) => ({ value: id, label: title }))}
            onChange={(id) =>
              void navigate({
                to: '/platforms/$platformId',
                params: { platformId: platform.id },
                search: { dialect: id },
                replace: true,
              })
            }
          />
        )}
        {mayWrite && <AddDialect platformId={platform.id} />}
      </Section>
      {open !== undefined && (
        <>
          <SignalListSection key={`signals ${open.id}`} platformId={platform.id} dialect={open} mayWrite={mayWrite} />
          <ProfileSection key={`profile ${open.id}`} platformId={platform.id} dialect={open} mayWrite={mayWrite} />
        </>
      )}
    </>
  );
}

function AddDialect({ platformId }: { readonly platformId: string }) {
  const add = useAddDialect(platformId);
  const form = useForm({
    initial: { id: '', title: '' },
    schema: addDialectRequest,
    error: add.error,
    onSubmit: (request) =>
      add.mutate(request, {
        onSuccess: () => {
          form.set('id', '');
          form.set('title', '');
        },
      }),
  });
  return (
    <details style={{ marginTop: 12 }}>
      <summary>Add a dialect</summary>
      <form onSubmit={form.submit} noValidate>
        <Group gap="sm" align="flex-end" mt="xs">
          <TextInput label="Short name" placeholder="lower-case, for example kelp" w={240} {...form.field('id')} />
          <TextInput label="Title" placeholder="for example Kelp bus" w={240} {...form.field('title')} />
          <Button type="submit" variant="default" loading={add.isPending}>
            Add
          </Button>
        </Group>
        <Text size="sm" role="status" c="dimmed">
          {add.isSuccess && 'Added. It cannot be taken away, since cars may be declared to speak it.'}
        </Text>
        {add.error !== null && <ProblemNotice error={add.error} />}
      </form>
    </details>
  );
}

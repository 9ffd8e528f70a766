import { Button, Group, Select, Stack, Text } from '@mantine/core';
import { createVehicleRequest, mayDo, type PlatformResponse } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useNavigate } from '@tanstack/react-router';
import { useState } from 'react';
import { peopleQueries } from '../../api/people.js';
import { platformQueries } from '../../api/platforms.js';
import { useSession } from '../../api/session.js';
import { useCreateVehicle } from '../../api/vehicles.js';
import { EmptyState } from '../../parts/empty-state.js';
import { HelpTerm } from '../../parts/help-term.js';
import { PageHead } from '../../parts/page-head.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { QueryView } from '../../parts/query-view.js';
import { TextLink } from '../../parts/text-link.js';
import { useForm } from '../../parts/use-form.js';
import { ProfileFields } from './profile-fields.js';

/** Enters a car. The gearbox comes first, because its data give the starting values. */
export function NewVehiclePage() {
  const platforms = useQuery(platformQueries.list());
  const [picked, setPicked] = useState<string | null>(null);
  const only = platforms.data?.items.length === 1 ? platforms.data.items[0]?.id : undefined;
  const platformId = picked ?? only;
  const platform = useQuery({ ...platformQueries.one(platformId ?? ''), enabled: platformId !== undefined });
  return (
    <>
      <PageHead
        title="Enter a car"
        crumbs={<TextLink to="/vehicles">Vehicles</TextLink>}
        lead="Say honestly what the car is: a wrong value scales what is read from every drive. All can be mended later except the gearbox."
      />
      <QueryView query={platforms} isEmpty={({ items }) => items.length === 0} empty={<NoPlatform />}>
        {({ items }) => (
          <Stack gap="md">
            <Select
              label={<HelpTerm term="platform">Gearbox</HelpTerm>}
              aria-label="Gearbox"
              placeholder="Choose"
              maw={360}
              allowDeselect={false}
              data={items.map(({ id, title }) => ({ value: id, label: title }))}
              value={platformId ?? null}
              onChange={setPicked}
            />
            {platformId !== undefined && (
              <QueryView query={platform}>
                {(data) => <NewVehicleForm key={platformId} platform={data.platform} />}
              </QueryView>
            )}
          </Stack>
        )}
      </QueryView>
    </>
  );
}

function NewVehicleForm({ platform }: { readonly platform: PlatformResponse['platform'] }) {
  const navigate = useNavigate();
  const { person } = useSession();
  const create = useCreateVehicle();
  const form = useForm({
    initial: {
      title: '',
      platformId: platform.id,
      ownerId: person.id,
      declaredDialect: null as string | null,
      engine: '',
      massKg: '' as number | string,
      ratedInputTorqueNm: platform.ratedInputTorqueNm as number | string,
      inputInertiaKgM2: platform.inputInertiaKgM2 as number | string,
      tyreRadiusM: '' as number | string,
      finalDriveRatio: '' as number | string,
      note: '',
    },
    schema: createVehicleRequest,
    error: create.error,
    onSubmit: (request) =>
      create.mutate(request, {
        onSuccess: ({ id }) => void navigate({ to: '/vehicles/$vehicleId', params: { vehicleId: id } }),
      }),
  });
  return (
    <form onSubmit={form.submit} noValidate>
      <Stack gap="md">
        <ProfileFields form={form} />
        <Select
          label={<HelpTerm term="dialect">Bus dialect by the label</HelpTerm>}
          aria-label="Bus dialect by the label"
          description="What the part or the seller says. It is checked against a capture before maps are offered to this car."
          placeholder="Not known"
          clearable
          maw={460}
          data={platform.dialects.map(({ id, title }) => ({ value: id, label: title }))}
          {...form.choice('declaredDialect')}
        />
        {mayDo(person.role, 'people:read') && <OwnerChoice {...form.choice('ownerId')} />}
        {create.error !== null && <ProblemNotice error={create.error} />}
        <Group gap="sm">
          <Button type="submit" loading={create.isPending}>
            Enter this car
          </Button>
          <Text size="sm" c="dimmed">
            Next: upload a drive, or have a maintainer confirm the bus dialect.
          </Text>
        </Group>
      </Stack>
    </form>
  );
}

interface OwnerChoiceProps {
  readonly value: string;
  readonly error?: string | undefined;
  readonly onChange: (value: string | null) => void;
}

function OwnerChoice({ value, error, onChange }: OwnerChoiceProps) {
  const people = useQuery(peopleQueries.list());
  return (
    <Select
      label="Tester who drives it"
      description="A maintainer may enter a car for someone else"
      searchable
      allowDeselect={false}
      maw={460}
      data={(people.data?.items ?? []).map(({ id, name }) => ({ value: id, label: name }))}
      value={value}
      error={error}
      onChange={onChange}
    />
  );
}

function NoPlatform() {
  return (
    <EmptyState title="No gearbox is known yet">
      A maintainer must describe a platform first: its gears, ratios, clutches and shifts. It is sent to the API as one
      document.
    </EmptyState>
  );
}

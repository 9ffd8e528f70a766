import { Button, Group, Select } from '@mantine/core';
import type { PlatformResponse } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useNavigate } from '@tanstack/react-router';
import { useState } from 'react';
import { useBeginRun } from '../../api/analysis-runs.js';
import { platformQueries } from '../../api/platforms.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';

/** Asks for the logs of a platform to be read or graded again. */
export function BeginRun() {
  const platforms = useQuery(platformQueries.list());
  const [chosen, setChosen] = useState<string | null>(null);
  return (
    <Section
      title="Begin a run"
      note="Reading takes as long as the first reading took, and as much space until the run ends; grading stored measures takes moments. A run that is open on the platform is discarded for it."
    >
      <QueryView query={platforms} isEmpty={({ items }) => items.length === 0} empty={<p>There is no platform yet.</p>}>
        {({ items }) => {
          const platformId = chosen ?? items[0]?.id ?? '';
          return (
            <Group align="flex-end" gap="sm">
              <Select
                label="Platform"
                w={220}
                allowDeselect={false}
                data={items.map(({ id, title }) => ({ value: id, label: title }))}
                value={platformId}
                onChange={setChosen}
              />
              <BeginOn key={platformId} platformId={platformId} />
            </Group>
          );
        }}
      </QueryView>
    </Section>
  );
}

function BeginOn({ platformId }: { readonly platformId: string }) {
  const platform = useQuery(platformQueries.one(platformId));
  return <QueryView query={platform}>{(found) => <BeginForm platform={found} />}</QueryView>;
}

const WAYS = [
  { value: 'reread', label: 'Read the original files again' },
  { value: 'regrade', label: 'Grade the stored measures again' },
] as const;

function BeginForm({ platform: { platform, policy, policies } }: { readonly platform: PlatformResponse }) {
  const begin = useBeginRun();
  const navigate = useNavigate();
  const [way, setWay] = useState<string>(WAYS[0].value);
  const [version, setVersion] = useState(String(policy.version));
  const submit = () =>
    begin.mutate(
      { platform: platform.id, policyVersion: Number(version), reread: way === 'reread' },
      { onSuccess: ({ id }) => void navigate({ to: '/analysis', search: { run: id } }) },
    );
  return (
    <>
      <Select label="How" w={260} allowDeselect={false} data={WAYS} value={way} onChange={(to) => setWay(to ?? way)} />
      <Select
        label="Grading policy"
        w={180}
        allowDeselect={false}
        data={policies.map((entry) => ({
          value: String(entry.version),
          label: `Version ${entry.version}${entry.version === policy.version ? ', in force' : ''}`,
        }))}
        value={version}
        onChange={(to) => setVersion(to ?? version)}
      />
      <Button variant="default" loading={begin.isPending} onClick={submit}>
        Begin
      </Button>
      {begin.error !== null && <ProblemNotice error={begin.error} />}
    </>
  );
}

import { Select } from '@mantine/core';
import { mayDo, REQUEST_STATES } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useNavigate, useSearch } from '@tanstack/react-router';
import { useCallback, useMemo } from 'react';
import { platformQueries } from '../../api/platforms.js';
import { requestQueries } from '../../api/requests.js';
import { useSession } from '../../api/session.js';
import { REQUEST_STATE_WORDS } from '../../format/words.js';
import { AskedDriveCaution } from '../../parts/caution.js';
import { EmptyState } from '../../parts/empty-state.js';
import { FilterBar } from '../../parts/filter-bar.js';
import { HelpTerm } from '../../parts/help-term.js';
import { PageHead } from '../../parts/page-head.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { useRevisionChoices } from '../../parts/use-revision-choices.js';
import { SEARCH_FIELD } from '../../shell/use-shell-keys.js';
import { ComposeRequest } from './compose-request.js';
import { GapsSection } from './gaps-section.js';
import { MyRequests } from './my-requests.js';
import { RequestList } from './request-list.js';
import { pointKey } from './request-words.js';
import type { RequestsSearch } from './requests-search.js';

/** What to drive next and why: for a tester what is asked of her cars, for a maintainer what to ask of whom. */
export function RequestsPage() {
  const { role } = useSession().person;
  return mayDo(role, 'evidence:read') ? <FleetRequests /> : <TesterRequests />;
}

function TesterRequests() {
  return (
    <>
      <PageHead
        title="My requests"
        lead="What the club would like your cars to drive, and why. Upload the drive as always: what it brings is counted by itself."
      />
      <MyRequests isOpenOnly={false} />
    </>
  );
}

function FleetRequests() {
  const search = useSearch({ from: '/house/requests' });
  const platforms = useQuery(platformQueries.list());
  const platform = search.platform ?? platforms.data?.items[0]?.id;
  return (
    <>
      <PageHead
        title="Requests"
        lead={
          <>
            Where evidence is missing, and what is <HelpTerm term="request">asked</HelpTerm> of which cars to bring it.
          </>
        }
        cautions={<AskedDriveCaution />}
      />
      <QueryView query={platforms} isEmpty={({ items }) => items.length === 0} empty={<NoPlatform />}>
        {() => platform !== undefined && <PlatformRequests search={search} platform={platform} />}
      </QueryView>
    </>
  );
}

function NoPlatform() {
  return <EmptyState title="No gearbox is known yet">Requests are about the operating points of a gearbox.</EmptyState>;
}

function PlatformRequests({ search, platform }: { readonly search: RequestsSearch; readonly platform: string }) {
  const navigate = useNavigate();
  const { role } = useSession().person;
  const mayAsk = mayDo(role, 'request:write');
  const { revision, program, state = 'open', ask } = search;
  const filter = { platform, revision, program };
  const gaps = useQuery(requestQueries.gaps(filter));
  const requests = useQuery(requestQueries.list(state === 'all' ? undefined : state));
  const chosen = useMemo(() => new Set(ask?.split(',')), [ask]);
  const go = useCallback(
    (change: Partial<RequestsSearch>) =>
      void navigate({ to: '/requests', search: { ...search, ...change }, resetScroll: false }),
    [navigate, search],
  );
  const onAsk = useCallback(
    (key: string) => {
      const next = new Set(chosen);
      if (!next.delete(key)) next.add(key);
      go({ ask: [...next].join(',') || undefined });
    },
    [chosen, go],
  );
  return (
    <>
      <RequestFilters search={search} platform={platform} onChange={go} />
      <RequestList query={requests} platform={platform} mayWithdraw={mayAsk} />
      {mayAsk && chosen.size > 0 && gaps.data !== undefined && (
        <Section title="On the way" note="Edit the numbers and the words, choose the cars, send.">
          {gaps.data.items
            .filter((gap) => chosen.has(pointKey(gap)))
            .map((gap) => (
              <ComposeRequest
                key={`${platform} ${revision} ${program} ${pointKey(gap)}`}
                filter={filter}
                gap={gap}
                gaps={gaps.data}
                onDone={() => onAsk(pointKey(gap))}
              />
            ))}
        </Section>
      )}
      <GapsSection filter={filter} query={gaps} chosen={chosen} onAsk={mayAsk ? onAsk : undefined} />
    </>
  );
}

interface RequestFiltersProps {
  readonly search: RequestsSearch;
  readonly platform: string;
  readonly onChange: (change: Partial<RequestsSearch>) => void;
}

function RequestFilters({ search, platform, onChange }: RequestFiltersProps) {
  const platforms = useQuery(platformQueries.list()).data?.items ?? [];
  const programs = useQuery(platformQueries.one(platform)).data?.platform.programs ?? [];
  const revisions = useRevisionChoices(platform);
  return (
    <FilterBar>
      <Select
        {...SEARCH_FIELD}
        label="State of requests"
        allowDeselect={false}
        w={170}
        data={[
          ...REQUEST_STATES.map((value) => ({ value, label: REQUEST_STATE_WORDS[value] })),
          { value: 'all', label: 'All' },
        ]}
        value={search.state ?? 'open'}
        onChange={(value) => onChange({ state: (value as RequestsSearch['state']) ?? undefined })}
      />
      {platforms.length > 1 && (
        <Select
          label="Gearbox"
          allowDeselect={false}
          data={platforms.map(({ id, title }) => ({ value: id, label: title }))}
          value={platform}
          onChange={(value) =>
            onChange({ platform: value ?? undefined, revision: undefined, program: undefined, ask: undefined })
          }
        />
      )}
      <Select
        label="Gaps under revision"
        placeholder="All revisions"
        clearable
        w={200}
        data={revisions}
        value={search.revision ?? null}
        onChange={(value) => onChange({ revision: value ?? undefined })}
      />
      <Select
        label="Gaps in program"
        placeholder="All programs"
        clearable
        w={160}
        data={programs.map(({ id, title }) => ({ value: id, label: title }))}
        value={search.program ?? null}
        onChange={(value) => onChange({ program: value ?? undefined })}
      />
    </FilterBar>
  );
}

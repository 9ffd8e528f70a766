import { mayDo, RELEASE_STATES, type ReleaseSummary } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useNavigate, useSearch } from '@tanstack/react-router';
import { platformQueries } from '../../api/platforms.js';
import { releaseQueries } from '../../api/releases.js';
import { useSession } from '../../api/session.js';
import { csvFileName } from '../../format/csv.js';
import { counted } from '../../format/quantity.js';
import { sentence } from '../../format/words.js';
import { CsvButton } from '../../parts/csv-button.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { EmptyState } from '../../parts/empty-state.js';
import { FilterBar } from '../../parts/filter-bar.js';
import { Instant } from '../../parts/instant.js';
import { LateSelect } from '../../parts/late-select.js';
import { PageHead } from '../../parts/page-head.js';
import { QueryView } from '../../parts/query-view.js';
import { RevisionLink } from '../../parts/revision-link.js';
import { Section } from '../../parts/section.js';
import { ButtonLink, TextLink } from '../../parts/text-link.js';
import { HooksSection } from './hooks-section.js';
import { ReleaseStateMark } from './release-marks.js';
import classes from './releases.module.css';
import type { ReleasesSearch } from './releases-search.js';

/** What is on its way to cars, and what was. */
export function ReleasesPage() {
  const search = useSearch({ from: '/house/releases' });
  const navigate = useNavigate();
  const { role } = useSession().person;
  const platforms = useQuery(platformQueries.list()).data?.items ?? [];
  const query = useQuery(releaseQueries.list(search));
  const change = (values: ReleasesSearch) =>
    void navigate({ to: '/releases', search: { ...search, ...values }, resetScroll: false });
  return (
    <>
      <PageHead
        title="Releases"
        lead="Approved revisions on their way to the cars that they are for, a few first. What was released never changes; a release can be held, and taken back."
        actions={mayDo(role, 'release:write') && <ButtonLink to="/releases/new">New release</ButtonLink>}
      />
      <FilterBar>
        {platforms.length > 1 && (
          <LateSelect
            label="Gearbox"
            w={200}
            placeholder="All gearboxes"
            clearable
            data={platforms.map(({ id, title }) => ({ value: id, label: title }))}
            value={search.platform ?? null}
            onChange={(platform) => change({ platform: platform ?? undefined })}
          />
        )}
        <LateSelect
          label="State"
          placeholder="All states"
          clearable
          w={160}
          data={RELEASE_STATES.map((state) => ({ value: state, label: sentence(state) }))}
          value={search.state ?? null}
          onChange={(state) => change({ state: (state as ReleasesSearch['state']) ?? undefined })}
        />
      </FilterBar>
      <Section
        title={query.data === undefined ? 'Releases' : counted(query.data.totalCount, 'release')}
        actions={
          <CsvButton
            fileName={csvFileName('releases', search.platform, search.state)}
            columns={CSV_COLUMNS}
            rows={query.data?.items ?? []}
          />
        }
      >
        <QueryView query={query} isEmpty={({ items }) => items.length === 0} empty={<NoRelease />}>
          {({ items }) => <DataTable label="Releases" columns={COLUMNS} rows={items} rowId={({ id }) => id} />}
        </QueryView>
      </Section>
      {mayDo(role, 'hook:read') && <HooksSection />}
    </>
  );
}

function NoRelease() {
  return (
    <EmptyState title="No release is like that">
      A revision is released once exactly its content was approved: ask for a review on its page first.
    </EmptyState>
  );
}

const COLUMNS: readonly DataColumn<ReleaseSummary>[] = [
  {
    id: 'release',
    title: 'Release',
    render: ({ id, revisionLabel, words }) => (
      <>
        <TextLink to="/releases/$releaseId" params={{ releaseId: id }}>
          {revisionLabel}
        </TextLink>
        <span className={classes.small}>{words}</span>
      </>
    ),
  },
  {
    id: 'state',
    title: 'State',
    render: ({ state, stateReason }) => (
      <>
        <ReleaseStateMark state={state} />
        {stateReason !== '' && <span className={classes.small}>{stateReason}</span>}
      </>
    ),
  },
  {
    id: 'stage',
    title: 'Stage',
    isShort: true,
    render: ({ stage, stageCount, state }) => (state === 'draft' ? '–' : `${stage + 1} of ${stageCount}`),
  },
  { id: 'taken', title: 'Offered to', unit: 'cars', isNumber: true, render: ({ taken }) => taken },
  { id: 'installed', title: 'Confirmed installed', unit: 'cars', isNumber: true, render: ({ installed }) => installed },
  { id: 'driven', title: 'Seen in drives', unit: 'cars', isNumber: true, render: ({ driven }) => driven },
  {
    id: 'replaces',
    title: 'Replaces',
    render: ({ replacesId, replacesLabel }) => <RevisionLink revisionId={replacesId} label={replacesLabel} />,
    distinct: ({ replacesLabel }) => replacesLabel,
  },
  {
    id: 'platform',
    title: 'Gearbox',
    render: ({ platformTitle }) => platformTitle,
    distinct: ({ platformTitle }) => platformTitle,
  },
  { id: 'made', title: 'Drafted', render: ({ createdAt }) => <Instant at={createdAt} precision="day" /> },
];

const CSV_COLUMNS = [
  { header: 'release', cell: ({ id }: ReleaseSummary) => id },
  { header: 'revision', cell: ({ revisionLabel }: ReleaseSummary) => revisionLabel },
  { header: 'content hash', cell: ({ contentHash }: ReleaseSummary) => contentHash },
  { header: 'state', cell: ({ state }: ReleaseSummary) => state },
  { header: 'why held or recalled', cell: ({ stateReason }: ReleaseSummary) => stateReason },
  { header: 'stage', cell: ({ stage }: ReleaseSummary) => stage + 1 },
  { header: 'stages', cell: ({ stageCount }: ReleaseSummary) => stageCount },
  { header: 'cars offered', cell: ({ taken }: ReleaseSummary) => taken },
  { header: 'cars confirmed installed', cell: ({ installed }: ReleaseSummary) => installed },
  { header: 'cars seen in drives', cell: ({ driven }: ReleaseSummary) => driven },
  { header: 'replaces', cell: ({ replacesLabel }: ReleaseSummary) => replacesLabel },
  { header: 'gearbox', cell: ({ platformTitle }: ReleaseSummary) => platformTitle },
  { header: 'words', cell: ({ words }: ReleaseSummary) => words },
  { header: 'drafted at', cell: ({ createdAt }: ReleaseSummary) => createdAt },
];

import { Select } from '@mantine/core';
import { APPLICATION_STATES, type Application } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { applicationQueries } from '../../api/applications.js';
import { platformQueries } from '../../api/platforms.js';
import { csvFileName } from '../../format/csv.js';
import { counted } from '../../format/quantity.js';
import { APPLICATION_STATE_WORDS } from '../../format/words.js';
import { CsvButton } from '../../parts/csv-button.js';
import { FilterBar } from '../../parts/filter-bar.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { ApplicationCard } from './application-card.js';
import { CLIMATE_WORDS, profileWords } from './profile-words.js';
import classes from './recruitment.module.css';
import type { RecruitmentSearch } from './recruitment-search.js';

interface ApplicationsSectionProps {
  readonly search: RecruitmentSearch;
  readonly onChange: (change: RecruitmentSearch) => void;
  readonly mayDecide: boolean;
}

/** Who would like to join, newest first, with the lacking profiles that each car would fill. */
export function ApplicationsSection({ search, onChange, mayDecide }: ApplicationsSectionProps) {
  const { state, platform } = search;
  const query = useQuery(applicationQueries.list({ state, platform }));
  const platforms = useQuery(platformQueries.list()).data?.items ?? [];
  return (
    <Section
      title={query.data === undefined ? 'Applications' : counted(query.data.totalCount, 'application')}
      note="Personal: read them here, keep no copies. Declined ones are deleted after 180 days; delete any at once when its sender asks."
      actions={
        <CsvButton
          fileName={csvFileName('applications', state, platform)}
          columns={CSV_COLUMNS}
          rows={query.data?.items ?? []}
        />
      }
    >
      <FilterBar>
        <Select
          label="State"
          placeholder="Any state"
          clearable
          w={160}
          data={APPLICATION_STATES.map((value) => ({ value, label: APPLICATION_STATE_WORDS[value] }))}
          value={state ?? null}
          onChange={(value) => onChange({ state: (value as RecruitmentSearch['state'] | null) ?? undefined })}
        />
        <Select
          label="Gearbox"
          placeholder="Any gearbox"
          clearable
          w={200}
          data={platforms.map(({ id, title }) => ({ value: id, label: title }))}
          value={platform ?? null}
          onChange={(value) => onChange({ platform: value ?? undefined })}
        />
      </FilterBar>
      <QueryView query={query} isEmpty={({ items }) => items.length === 0} empty="No application is like that.">
        {({ items }) => (
          <div className={classes.cards}>
            {items.map((application) => (
              <ApplicationCard key={application.id} application={application} mayDecide={mayDecide} />
            ))}
          </div>
        )}
      </QueryView>
    </Section>
  );
}

const CSV_COLUMNS = [
  { header: 'application', cell: ({ id }: Application) => id },
  { header: 'state', cell: ({ state }: Application) => state },
  { header: 'received at', cell: ({ receivedAt }: Application) => receivedAt },
  { header: 'name', cell: ({ name }: Application) => name },
  { header: 'email', cell: ({ email }: Application) => email },
  { header: 'car', cell: ({ car }: Application) => car },
  { header: 'engine', cell: ({ engine }: Application) => engine },
  { header: 'gearbox', cell: ({ platformTitle }: Application) => platformTitle },
  { header: 'label on the gearbox', cell: ({ gearboxLabel }: Application) => gearboxLabel },
  { header: 'dialect', cell: ({ dialect }: Application) => dialect },
  { header: 'place', cell: ({ place }: Application) => place },
  {
    header: 'climates',
    cell: ({ climates }: Application) => climates.map((climate) => CLIMATE_WORDS[climate]).join('; '),
  },
  { header: 'yearly distance (km)', cell: ({ yearlyKm }: Application) => yearlyKm },
  { header: 'logger', cell: ({ logger }: Application) => logger },
  { header: 'fills', cell: ({ fills }: Application) => fills.map(profileWords).join('; ') },
];

import { SegmentedControl } from '@mantine/core';
import type { ProfileNeed } from '@syncline/contract';
import { csvFileName } from '../../format/csv.js';
import { counted } from '../../format/quantity.js';
import { CsvButton } from '../../parts/csv-button.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { Mark } from '../../parts/mark.js';
import { Section } from '../../parts/section.js';
import { DIMENSION_WORDS } from './profile-words.js';

interface NeedsSectionProps {
  readonly needs: readonly ProfileNeed[];
  readonly shown: 'lacking' | 'all';
  readonly onShow: (shown: 'lacking' | 'all') => void;
}

/** Which gearbox variants, dialects, engines and climates the club has too few cars of. */
export function NeedsSection({ needs, shown, onShow }: NeedsSectionProps) {
  const rows = shown === 'all' ? needs : needs.filter(({ isLacking }) => isLacking);
  const needed = needs[0]?.needed ?? 0;
  return (
    <Section
      title="Profiles in short supply"
      note={`A profile needs ${counted(needed, 'car')} driven within sixty days; with fewer no rate is shown. A fluid temperature counts for a car once its logs have five shifts there: the coldest tells of frost, the hottest of mountains and summers.`}
      actions={
        <>
          <SegmentedControl
            size="xs"
            aria-label="Profiles shown"
            value={shown}
            onChange={(value) => onShow(value as 'lacking' | 'all')}
            data={[
              { value: 'lacking', label: 'Lacking' },
              { value: 'all', label: 'All' },
            ]}
          />
          <CsvButton fileName={csvFileName('profiles', shown)} columns={CSV_COLUMNS} rows={rows} />
        </>
      }
    >
      {rows.length === 0 ? (
        <p>Every profile that is known has enough cars.</p>
      ) : (
        <DataTable label="Profiles" columns={COLUMNS} rows={rows} rowId={rowId} />
      )}
    </Section>
  );
}

function rowId({ platformId, dimension, value }: ProfileNeed): string {
  return `${platformId} ${dimension} ${value}`;
}

const ENOUGH = 'M1.5 6.5 4.8 9.8 10.5 2.5';
const TOO_FEW = 'M2 6H10';

const COLUMNS: readonly DataColumn<ProfileNeed>[] = [
  { id: 'platform', title: 'Gearbox', render: (need) => need.platformTitle, distinct: (need) => need.platformId },
  { id: 'dimension', title: 'Profile', render: (need) => DIMENSION_WORDS[need.dimension] },
  { id: 'title', title: 'Which', render: (need) => (need.dimension === 'platform' ? 'any car' : need.title) },
  { id: 'cars', title: 'Cars', isNumber: true, render: (need) => need.cars },
  { id: 'active', title: 'Driven lately', isNumber: true, render: (need) => need.active },
  { id: 'verified', title: 'Dialect cleared', isNumber: true, render: (need) => need.verified },
  {
    id: 'state',
    title: 'Supply',
    render: ({ isLacking, needed, active }) =>
      isLacking ? (
        <Mark word={`${needed - active} too few`} path={TOO_FEW} isFilled={false} colour="--caution-ink" />
      ) : (
        <Mark word="enough" path={ENOUGH} isFilled={false} colour="--ink" />
      ),
  },
];

const CSV_COLUMNS = [
  { header: 'gearbox', cell: (need: ProfileNeed) => need.platformTitle },
  { header: 'profile', cell: (need: ProfileNeed) => need.dimension },
  { header: 'which', cell: (need: ProfileNeed) => need.title },
  { header: 'cars', cell: (need: ProfileNeed) => need.cars },
  { header: 'driven within 60 days', cell: (need: ProfileNeed) => need.active },
  { header: 'dialect cleared', cell: (need: ProfileNeed) => need.verified },
  { header: 'needed', cell: (need: ProfileNeed) => need.needed },
];

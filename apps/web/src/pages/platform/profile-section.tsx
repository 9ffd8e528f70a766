import type { DialectProfileResponse } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { type DialectIdentifier, platformQueries, useSetDialectProfile } from '../../api/platforms.js';
import { type CsvColumn, csvFileName } from '../../format/csv.js';
import { counted, formatNumber } from '../../format/quantity.js';
import { CsvButton } from '../../parts/csv-button.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { EmptyState } from '../../parts/empty-state.js';
import { HelpTerm } from '../../parts/help-term.js';
import { Instant } from '../../parts/instant.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { TextLink } from '../../parts/text-link.js';
import { identifierText } from './identifier-text.js';
import { JsonListEditor } from './json-list-editor.js';
import { LearnForm } from './learn-form.js';

type Profile = NonNullable<DialectProfileResponse['profile']>;

interface ProfileSectionProps {
  readonly platformId: string;
  readonly dialect: { readonly id: string; readonly title: string };
  readonly mayWrite: boolean;
}

const textOf = ({ identifier, isExtended }: DialectIdentifier) => identifierText(identifier, isExtended);
const periodMs = ({ periodS }: DialectIdentifier) => (periodS === null ? null : periodS * 1000);

const COLUMNS: readonly DataColumn<DialectIdentifier>[] = [
  { id: 'identifier', title: 'Identifier', isShort: true, render: (entry) => <code>{textOf(entry)}</code> },
  {
    id: 'period',
    title: 'Period',
    unit: 'ms',
    isNumber: true,
    render: (entry) => (entry.periodS === null ? 'on events' : formatNumber(periodMs(entry), 1)),
  },
  {
    id: 'spread',
    title: 'Spread from car to car',
    unit: '%',
    isNumber: true,
    distinct: ({ periodSpread }) => periodSpread,
    render: ({ periodSpread }) => formatNumber(100 * periodSpread, 1),
  },
  { id: 'lengths', title: 'Length', unit: 'bytes', isNumber: true, render: ({ lengths }) => lengths.join(' or ') },
  {
    id: 'presence',
    title: 'Cars that send it',
    unit: '%',
    isNumber: true,
    render: ({ presence }) => formatNumber(100 * presence, 0),
  },
];

const CSV_COLUMNS: readonly CsvColumn<DialectIdentifier>[] = [
  { header: 'identifier (hexadecimal)', cell: textOf },
  { header: 'extended', cell: ({ isExtended }) => String(isExtended) },
  { header: 'period (s)', cell: ({ periodS }) => periodS },
  { header: 'spread (share)', cell: ({ periodSpread }) => periodSpread },
  { header: 'lengths (bytes)', cell: ({ lengths }) => lengths.join(' ') },
  { header: 'presence (share)', cell: ({ presence }) => presence },
];

/** How the bus of a dialect is spoken, where that is known from, and how it is learned or entered. */
export function ProfileSection({ platformId, dialect, mayWrite }: ProfileSectionProps) {
  const query = useQuery(platformQueries.profile(platformId, dialect.id));
  const save = useSetDialectProfile(platformId, dialect.id);
  const profile = query.data?.profile ?? null;
  const rows = profile?.identifiers ?? [];
  return (
    <Section
      title={<HelpTerm term="dialectProfile">{`Profile of the ${dialect.title}`}</HelpTerm>}
      note={profile === null ? 'Captures cannot be held against it yet.' : <Origin profile={profile} />}
      actions={
        <CsvButton fileName={csvFileName(platformId, dialect.id, 'profile')} columns={CSV_COLUMNS} rows={rows} />
      }
    >
      <QueryView
        query={query}
        isEmpty={({ profile: found }) => found === null}
        empty={
          <EmptyState title="Nothing is known of how it is spoken">
            Look into one car of this dialect, record that on its page, and learn from a capture of it.
          </EmptyState>
        }
      >
        {() => <DataTable label={`Profile of the ${dialect.title}`} columns={COLUMNS} rows={rows} rowId={textOf} />}
      </QueryView>
      {mayWrite && (
        <>
          <LearnForm platformId={platformId} dialect={dialect} />
          <JsonListEditor
            what="profile"
            help="A JSON array of identifiers. periodS is null for frames sent on events; lengths are payload lengths in bytes; presence is the chance that a car of the dialect sends it at all, 0.01 to 0.999."
            example={EXAMPLE}
            current={profile?.identifiers ?? null}
            save={save}
            savedWord="Saved as a new version. The newest capture of every car is checked again."
          />
        </>
      )}
    </Section>
  );
}

const EXAMPLE = `[
  { "identifier": 464, "isExtended": false, "periodS": 0.02, "periodSpread": 0.02, "lengths": [8], "presence": 0.95 }
]`;

function Origin({ profile }: { readonly profile: Profile }) {
  const { version, captureIds, captureCount, byName, enteredAt, identifiers } = profile;
  return (
    <>
      Profile {version} with {counted(identifiers.length, 'identifier')},{' '}
      {captureIds.length === 0 ? 'entered' : `learned from ${counted(captureCount, 'capture')}`} by {byName},{' '}
      <Instant at={enteredAt} />
      {captureIds.length > 0 && ': '}
      {captureIds.map((logId, i) => (
        <span key={logId}>
          {i > 0 && ', '}
          <TextLink to="/logs/$logId" params={{ logId }}>
            capture {i + 1}
          </TextLink>
        </span>
      ))}
      .
    </>
  );
}

import { Button, Group, Select } from '@mantine/core';
import type { LayoutDocument, MigrationResponse, RevisionResponse } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useNavigate, useParams, useSearch } from '@tanstack/react-router';
import { calibrationQueries } from '../../api/calibrations.js';
import { draftQueries, useMigrate } from '../../api/drafts.js';
import { platformQueries } from '../../api/platforms.js';
import { counted, formatQuantity } from '../../format/quantity.js';
import { EmptyState } from '../../parts/empty-state.js';
import { PageHead } from '../../parts/page-head.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { BlockSkeleton } from '../../parts/skeletons.js';
import { TextLink } from '../../parts/text-link.js';
import mergeClasses from '../calibration/merge.module.css';
import { unitWord } from './layout-words.js';
import { parseRenames, stringifyRenames } from './migrate-search.js';
import { revisionLabel } from './revision-label.js';
import { FindingText } from './table-findings.js';

/** Moves the content of a revision to another version of its layout; every step is shown before anything is made. */
export function MigratePage() {
  const { revisionId } = useParams({ from: '/house/revisions/$revisionId/migrate' });
  const revision = useQuery(calibrationQueries.revision(revisionId));
  return (
    <>
      <PageHead
        title={revision.data === undefined ? 'Move to another layout version' : `Move ${revisionLabel(revision.data)}`}
        crumbs={
          <>
            <TextLink to="/calibrations">Calibrations</TextLink> ›{' '}
            <TextLink to="/revisions/$revisionId" params={{ revisionId }}>
              {revision.data === undefined ? 'Revision' : revisionLabel(revision.data)}
            </TextLink>
          </>
        }
        lead="The outcome is a draft for the other layout version. The revision itself never changes."
      />
      <QueryView query={revision} skeleton={<BlockSkeleton height={300} />}>
        {(found) => <Migration revision={found} />}
      </QueryView>
    </>
  );
}

function Migration({ revision }: { readonly revision: RevisionResponse }) {
  const search = useSearch({ from: '/house/revisions/$revisionId/migrate' });
  const navigate = useNavigate();
  const platform = useQuery(platformQueries.one(revision.platformId));
  const others = (platform.data?.layouts ?? [])
    .filter(({ version }) => version !== revision.layoutVersion)
    .sort((a, b) => b.version - a.version);
  const to = search.to ?? others[0]?.version;
  const renames = parseRenames(search.renames);
  const change = (next: { to?: number | undefined; renames?: Readonly<Record<string, string>> }) =>
    void navigate({
      to: '/revisions/$revisionId/migrate',
      params: { revisionId: revision.id },
      search: { to: next.to ?? to, renames: stringifyRenames(next.renames ?? (next.to === undefined ? renames : {})) },
      replace: true,
      resetScroll: false,
    });
  const plan = useQuery({ ...draftQueries.migration(revision.id, to ?? 0, renames), enabled: to !== undefined });
  if (platform.data !== undefined && to === undefined) {
    return (
      <EmptyState title="There is no other layout version">
        This gearbox has version {revision.layoutVersion} only. A maintainer adds another one.
      </EmptyState>
    );
  }
  return (
    <QueryView query={platform} skeleton={<BlockSkeleton height={120} />}>
      {() => (
        <>
          <Select
            label="To layout version"
            maw={420}
            mb="md"
            allowDeselect={false}
            data={others.map(({ version, title }) => ({ value: String(version), label: `${version}: ${title}` }))}
            value={to === undefined ? null : String(to)}
            onChange={(version) => version !== null && change({ to: Number(version) })}
          />
          {to !== undefined && (
            <Renames
              platformId={revision.platformId}
              from={revision.layoutVersion}
              to={to}
              renames={renames}
              onChange={(next) => change({ renames: next })}
            />
          )}
          <QueryView query={plan} skeleton={<BlockSkeleton height={240} />}>
            {(found) => <Plan revision={revision} plan={found} renames={renames} />}
          </QueryView>
        </>
      )}
    </QueryView>
  );
}

interface RenamesProps {
  readonly platformId: string;
  readonly from: number;
  readonly to: number;
  readonly renames: Readonly<Record<string, string>>;
  readonly onChange: (renames: Readonly<Record<string, string>>) => void;
}

/** Tables that the other version does not know by their name, each to be matched with one that is new there. */
function Renames({ platformId, from, to, renames, onChange }: RenamesProps) {
  const old = useQuery(platformQueries.layout(platformId, from));
  const next = useQuery(platformQueries.layout(platformId, to));
  if (old.data === undefined || next.data === undefined) return null;
  const gone = missingIn(old.data.layout, next.data.layout);
  const fresh = missingIn(next.data.layout, old.data.layout);
  if (gone.length === 0) return null;
  return (
    <Section
      title="Tables with another name"
      note={`Version ${to} does not have these. Where one was only renamed, say so, and its values come along.`}
    >
      <div className={mergeClasses.renames}>
        {gone.map(({ id, title }) => (
          <Select
            key={id}
            label={`${title} (${id})`}
            placeholder="Left out"
            clearable
            clearButtonProps={{ 'aria-label': `Leave ${title} out` }}
            data={fresh.map((table) => ({ value: table.id, label: `${table.title} (${table.id})` }))}
            value={renames[id] ?? null}
            onChange={(chosen) => {
              const { [id]: _before, ...others } = renames;
              onChange(chosen === null ? others : { ...others, [id]: chosen });
            }}
          />
        ))}
      </div>
    </Section>
  );
}

/** Tables of a layout that another one does not have. */
function missingIn(layout: LayoutDocument, other: LayoutDocument): LayoutDocument['tables'] {
  return layout.tables.filter(({ id }) => !other.tables.some((table) => table.id === id));
}

interface PlanProps {
  readonly revision: RevisionResponse;
  readonly plan: MigrationResponse;
  readonly renames: Readonly<Record<string, string>>;
}

const SEVERITY_WORDS = { note: 'Note', warning: 'Warning', blocking: 'Blocks' } as const;

function Plan({ revision, plan, renames }: PlanProps) {
  const { steps, findings, isPossible, fromVersion, toVersion } = plan;
  const migrate = useMigrate(revision.id);
  const navigate = useNavigate();
  const layout = useQuery(platformQueries.layout(revision.platformId, toVersion));
  const unitOf = (tableId: string) => unitWord(layout.data?.layout.tables.find(({ id }) => id === tableId)?.unit ?? '');
  const telling = steps.filter(({ severity, largestError }) => severity !== 'note' || largestError !== null);
  const notes = steps.filter((step) => !telling.includes(step));
  const make = () =>
    migrate.mutate(
      { to: toVersion, renames: { ...renames } },
      { onSuccess: ({ id }) => void navigate({ to: '/drafts/$draftId', params: { draftId: id } }) },
    );
  return (
    <>
      <Section
        title={`What happens from version ${fromVersion} to ${toVersion}`}
        note={
          telling.length === 0
            ? 'Every table comes over as it is.'
            : `${counted(telling.length, 'step')} to look at; ${counted(notes.length, 'table comes', 'tables come')} over without one.`
        }
      >
        <StepList steps={telling} unitOf={unitOf} />
        {notes.length > 0 && (
          <details className={mergeClasses.notes}>
            <summary>All others</summary>
            <StepList steps={notes} unitOf={unitOf} />
          </details>
        )}
      </Section>
      <Section
        title="Findings in the new layout"
        note={
          findings.length === 0
            ? 'None.'
            : 'They can be mended in the draft; what blocks keeps it from becoming a revision.'
        }
      >
        <ul className={mergeClasses.steps}>
          {findings.map((finding) => (
            <li key={`${finding.code} ${finding.where} ${finding.message}`}>
              <FindingText finding={finding} />
            </li>
          ))}
        </ul>
      </Section>
      {migrate.error !== null && <ProblemNotice error={migrate.error} />}
      <Group>
        <Button disabled={!isPossible} loading={migrate.isPending} onClick={make}>
          Make the draft
        </Button>
        {!isPossible && <span className={mergeClasses.soft}>A step above blocks: settle it first.</span>}
      </Group>
    </>
  );
}

interface StepListProps {
  readonly steps: MigrationResponse['steps'];
  readonly unitOf: (tableId: string) => string;
}

function StepList({ steps, unitOf }: StepListProps) {
  return (
    <ul className={mergeClasses.steps}>
      {steps.map(({ kind, tableId, title, detail, largestError, severity }) => (
        <li key={`${kind} ${tableId} ${detail}`}>
          <strong>
            {SEVERITY_WORDS[severity]}, {title}.
          </strong>{' '}
          {detail}
          {largestError !== null && ` Largest departure ${formatQuantity(largestError, unitOf(tableId), 3)}.`}
        </li>
      ))}
    </ul>
  );
}

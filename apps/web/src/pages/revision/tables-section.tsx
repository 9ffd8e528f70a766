import { SegmentedControl, Text } from '@mantine/core';
import type { Comment, LayoutDocument, PlatformDocument, RevisionResponse } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { linkOptions } from '@tanstack/react-router';
import { calibrationQueries } from '../../api/calibrations.js';
import { reviewQueries } from '../../api/reviews.js';
import { GridAndReadout } from '../../charts/grid-and-readout.js';
import { placeInside } from '../../charts/grid-place.js';
import { csvFileName } from '../../format/csv.js';
import { formatQuantity } from '../../format/quantity.js';
import { CsvButton } from '../../parts/csv-button.js';
import { EmptyState } from '../../parts/empty-state.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { Section } from '../../parts/section.js';
import { CellComments } from './cell-comments.js';
import { CellProfiles } from './cell-profiles.js';
import { CellReadout } from './cell-readout.js';
import { evidenceByCell, tellingPlace } from './evidence.js';
import classes from './revision.module.css';
import { revisionLabel } from './revision-label.js';
import type { RevisionSearch } from './revision-search.js';
import { tableCsvColumns, tableCsvRows } from './table-csv.js';
import { TableFindings } from './table-findings.js';
import { TableGrid } from './table-grid.js';
import { TableList } from './table-list.js';
import { type TableView, tableView } from './table-view.js';
import { useRevisionView } from './use-revision-view.js';
import { VariantTabs } from './variant-tabs.js';

interface TablesSectionProps {
  readonly revision: RevisionResponse;
  readonly layout: LayoutDocument;
  readonly platform: PlatformDocument;
}

const EVIDENCE_DATA = [
  { value: 'flare', label: 'Flare' },
  { value: 'tie-up', label: 'Tie-up' },
  { value: 'none', label: 'None' },
];

/** The tables of the revision, one at a time, with what drives say of each cell. */
export function TablesSection({ revision, layout, platform }: TablesSectionProps) {
  const { search, change } = useRevisionView();
  const view = tableView(layout, platform, revision.content, search);
  if (view === undefined) {
    return <EmptyState title="This revision has no table">Its layout has none, or its content lacks it.</EmptyState>;
  }
  return (
    <Section
      title="Tables"
      note="Arrow keys move between cells, Enter opens the shifts behind one. Values are shaded from the lowest to the highest of the table shown."
      actions={
        <>
          <span className={classes.switchLabel} id="evidence-label">
            Evidence
          </span>
          <SegmentedControl
            size="xs"
            aria-labelledby="evidence-label"
            data={EVIDENCE_DATA}
            value={search.evidence ?? 'flare'}
            onChange={(value) => change({ evidence: value as RevisionSearch['evidence'] })}
          />
        </>
      }
    >
      <div className={classes.tables}>
        <TableList layout={layout} chosenId={view.spec.id} findings={revision.findings} />
        <div className={classes.table}>
          <TableHead revision={revision} view={view} platform={platform} />
          <ShownTable revision={revision} view={view} />
        </div>
      </div>
    </Section>
  );
}

function TableHead({ revision, view, platform }: Omit<TablesSectionProps, 'layout'> & { readonly view: TableView }) {
  const { search } = useRevisionView();
  const { spec, unit, digits } = view;
  const evidence = useQuery(calibrationQueries.evidence(revision.id, spec.id, view.variant));
  return (
    <>
      <div className={classes.tableHead}>
        <h3>
          {view.name} {unit !== '' && <span className={classes.unit}>({unit})</span>}
        </h3>
        <CsvButton
          fileName={csvFileName(revisionLabel(revision), spec.id, view.variant)}
          columns={tableCsvColumns(view)}
          rows={tableCsvRows(view, evidence.isPlaceholderData ? undefined : evidence.data)}
        />
      </div>
      <Text size="sm" c="dimmed" mb={6}>
        {spec.note && `${spec.note} `}
        Allowed from {formatQuantity(spec.limits.min, '', digits)} to {formatQuantity(spec.limits.max, unit, digits)}.
      </Text>
      <VariantTabs
        spec={spec}
        variants={view.variants}
        chosen={view.variant}
        platform={platform}
        linkTo={(variant) =>
          linkOptions({
            to: '/revisions/$revisionId',
            params: { revisionId: revision.id },
            search: { ...search, table: spec.id, variant },
          })
        }
      />
    </>
  );
}

function ShownTable({ revision, view }: { readonly revision: RevisionResponse; readonly view: TableView }) {
  const { search } = useRevisionView();
  const evidence = useQuery(calibrationQueries.evidence(revision.id, view.spec.id, view.variant));
  // While another table's evidence is on its way, the old one must not stand in this table's cells.
  const known = evidence.isPlaceholderData ? undefined : evidence.data;
  const cells = evidenceByCell(known, view.size);
  const first = known && tellingPlace(known, search.evidence === 'tie-up' ? 'tie-up' : 'flare');
  const place = placeInside(
    { row: search.row ?? first?.row ?? 0, column: search.column ?? first?.column ?? 0 },
    view.size,
  );
  const findings = revision.findings.filter(
    ({ tableId, variant }) => tableId === view.spec.id && (variant === null || variant === view.variant),
  );
  const comments = useTableComments(revision.id, view);
  return (
    <>
      {evidence.error !== null && <ProblemNotice error={evidence.error} onRetry={() => void evidence.refetch()} />}
      <GridAndReadout
        grid={
          <TableGrid
            view={view}
            place={place}
            evidence={cells}
            findings={findings}
            comments={comments.filter(({ resolvedAt }) => resolvedAt === null)}
          />
        }
        readout={
          <>
            <CellReadout view={view} place={place} evidence={cells} isFailed={evidence.error !== null} />
            <CellComments revisionId={revision.id} view={view} place={place} comments={comments} />
          </>
        }
      >
        <TableFindings findings={findings} />
        <CellProfiles view={view} place={place} />
      </GridAndReadout>
    </>
  );
}

/** Comments on the variant that is shown, and on the table as a whole. */
function useTableComments(revisionId: string, { spec, variant }: TableView): Comment[] {
  const { data } = useQuery(reviewQueries.comments(revisionId));
  return (data?.items ?? []).filter(
    (comment) => comment.tableId === spec.id && (comment.variant === null || comment.variant === variant),
  );
}

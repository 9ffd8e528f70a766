import type { AnalysisRun } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useSearch } from '@tanstack/react-router';
import { analysisRunQueries } from '../../api/analysis-runs.js';
import { counted, formatCount } from '../../format/quantity.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { Instant } from '../../parts/instant.js';
import { PageHead } from '../../parts/page-head.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { TextLink } from '../../parts/text-link.js';
import { BeginRun } from './begin-run.js';
import { RunView } from './run-view.js';
import { progressWords, RUN_STATE_WORDS, runTitle } from './run-words.js';

/** Logs analysed or graded anew beside what pages show: progress, effect, and the switch. For maintainers. */
export function AnalysisPage() {
  const { run: chosen } = useSearch({ from: '/house/analysis' });
  const runs = useQuery(analysisRunQueries.list());
  const shown = chosen ?? runs.data?.items.find(isOpen)?.id;
  return (
    <>
      <PageHead
        title="Analysis"
        lead="New results of every log of a platform, made beside those that pages show. Nothing changes for anybody until you switch to a run; what testers upload goes first."
      />
      {shown !== undefined && <RunView key={shown} runId={shown} />}
      <Section
        title="Runs"
        note="A run begins by itself when the program analyses otherwise than before, and with every new grading policy."
      >
        <QueryView query={runs} isEmpty={({ items }) => items.length === 0} empty={<p>No run was ever begun.</p>}>
          {(page) => (
            <>
              <DataTable label="Runs" columns={COLUMNS} rows={page.items} rowId={({ id }) => id} chosenRowId={shown} />
              {page.nextCursor !== null && (
                <p>
                  The newest {page.items.length} of {counted(page.totalCount, 'run')}.
                </p>
              )}
            </>
          )}
        </QueryView>
      </Section>
      <BeginRun />
    </>
  );
}

function isOpen({ endedAt }: AnalysisRun): boolean {
  return endedAt === null;
}

const COLUMNS: readonly DataColumn<AnalysisRun>[] = [
  {
    id: 'what',
    title: 'Run',
    render: (run) => (
      <TextLink to="/analysis" search={{ run: run.id }}>
        {runTitle(run)}
      </TextLink>
    ),
  },
  { id: 'platform', title: 'Platform', distinct: (run) => run.platformId, render: (run) => run.platformTitle },
  { id: 'state', title: 'State', render: (run) => RUN_STATE_WORDS[run.state] },
  { id: 'progress', title: 'Progress', render: progressWords },
  { id: 'analysis', title: 'Analysis', isNumber: true, render: (run) => formatCount(run.analysisVersion) },
  { id: 'policy', title: 'Policy', isNumber: true, render: (run) => formatCount(run.policyVersion) },
  {
    id: 'began',
    title: 'Begun',
    render: (run) => (
      <>
        <Instant at={run.beganAt} /> by {run.beganByName}
      </>
    ),
  },
  {
    id: 'ended',
    title: 'Ended',
    distinct: (run) => run.endedAt,
    render: (run) =>
      run.endedAt === null ? (
        '–'
      ) : (
        <>
          <Instant at={run.endedAt} /> by {run.endedByName}
          {run.endNote !== null && run.endNote !== '' && `: ${run.endNote}`}
        </>
      ),
  },
];

import type { CandidateResponse, ShiftRow } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useParams, useSearch } from '@tanstack/react-router';
import { analysisRunQueries } from '../../api/analysis-runs.js';
import { csvFileName } from '../../format/csv.js';
import { counted, formatCount } from '../../format/quantity.js';
import { formatElapsed } from '../../format/time.js';
import { CsvButton } from '../../parts/csv-button.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { GradeMarks } from '../../parts/grade-mark.js';
import { Instant } from '../../parts/instant.js';
import { PageHead } from '../../parts/page-head.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { ButtonLink, TextLink } from '../../parts/text-link.js';
import { Value } from '../../parts/value.js';
import { OUTCOME_WORDS } from './run-words.js';

type Pair = CandidateResponse['pairs'][number];

/** The shifts of one log as pages show them, beside those of a run. */
export function AnalysedLogPage() {
  const { runId, logId } = useParams({ from: '/house/analysis/$runId/logs/$logId' });
  const result = useQuery(analysisRunQueries.log(runId, logId));
  return <QueryView query={result}>{(found) => <AnalysedLog runId={runId} result={found} />}</QueryView>;
}

function AnalysedLog({ runId, result }: { readonly runId: string; readonly result: CandidateResponse }) {
  const { logId, fileName, vehicleTitle, drivenAt, outcome, problem, found, lost, regraded, pairs } = result;
  const { show } = useSearch({ from: '/house/analysis/$runId/logs/$logId' });
  const isAll = show === 'all';
  const shown = isAll ? pairs : pairs.filter(differs);
  return (
    <>
      <PageHead
        title={`${fileName} under the run`}
        crumbs={
          <TextLink to="/analysis" search={{ run: runId }}>
            Analysis
          </TextLink>
        }
        lead={
          <>
            {vehicleTitle}, driven <Instant at={drivenAt} />. It was {OUTCOME_WORDS[outcome]}
            {problem !== null && `: ${problem.detail}`}. {formatCount(found)} found, {formatCount(lost)} lost,{' '}
            {formatCount(regraded)} graded otherwise.{' '}
            <TextLink to="/logs/$logId" params={{ logId }}>
              The log as pages show it
            </TextLink>
          </>
        }
      />
      <Section
        title="Shifts before and after"
        actions={
          <>
            <ButtonLink
              size="compact-sm"
              variant="default"
              to="/analysis/$runId/logs/$logId"
              params={{ runId, logId }}
              search={{ show: isAll ? undefined : 'all' }}
            >
              {isAll ? 'Only those that differ' : `All ${counted(pairs.length, 'shift')}`}
            </ButtonLink>
            <CsvButton fileName={csvFileName('analysis', runId, fileName)} columns={CSV_COLUMNS} rows={shown} />
          </>
        }
      >
        {shown.length === 0 ? (
          <p>{pairs.length === 0 ? 'Neither result has a shift.' : 'No shift differs in its grades or measures.'}</p>
        ) : (
          <DataTable
            label="Shifts before and after"
            columns={columnsFor(logId)}
            rows={shown}
            rowId={(pair) => `${pair.before?.id} ${pair.after?.id}`}
          />
        )}
      </Section>
    </>
  );
}

/** Found, lost, or with other grades or measures. */
function differs({ before, after }: Pair): boolean {
  if (before === null || after === null) return true;
  return MEASURES.some((key) => before[key] !== after[key]) || before.grades.join() !== after.grades.join();
}

const MEASURES = ['flareRpm', 'tieUpDepth', 'peakJerk', 'inertiaTimeS'] as const;

/** One of the two is there. */
function either({ before, after }: Pair): ShiftRow {
  return (after ?? before) as ShiftRow;
}

function columnsFor(logId: string): readonly DataColumn<Pair>[] {
  return [
    {
      id: 'at',
      title: 'Command',
      unit: 'min:s',
      render: (pair) =>
        pair.before === null ? (
          formatElapsed(either(pair).commandS)
        ) : (
          <TextLink to="/logs/$logId" params={{ logId }} search={{ shift: pair.before.id }}>
            {formatElapsed(pair.before.commandS)}
          </TextLink>
        ),
    },
    { id: 'kind', title: 'Shift', render: (pair) => either(pair).kind },
    {
      id: 'before',
      title: 'Before',
      render: ({ before }) => (before === null ? 'not found' : <GradeMarks grades={before.grades} />),
    },
    {
      id: 'after',
      title: 'After',
      render: ({ after }) => (after === null ? 'lost' : <GradeMarks grades={after.grades} />),
    },
    measure('Flare', 'rpm', ({ flareRpm }) => flareRpm),
    measure('Tie-up', 'm/s²', ({ tieUpDepth }) => tieUpDepth),
    measure('Peak jerk', 'm/s³', ({ peakJerk }) => peakJerk),
    measure('Inertia time', 's', ({ inertiaTimeS }) => inertiaTimeS),
  ];
}

/** Both values where they differ, else the one. */
function measure(title: string, unit: string, valueOf: (shift: ShiftRow) => number | null): DataColumn<Pair> {
  return {
    id: title,
    title,
    isNumber: true,
    render: ({ before, after }) => {
      if (before === null || after === null || valueOf(before) === valueOf(after)) {
        return <Value value={valueOf((after ?? before) as ShiftRow)} unit={unit} />;
      }
      return (
        <>
          <Value value={valueOf(before)} unit={unit} /> → <Value value={valueOf(after)} unit={unit} />
        </>
      );
    },
  };
}

const side = (word: 'before' | 'after') => [
  { header: `grades ${word}`, cell: (pair: Pair) => pair[word]?.grades.join(' ') ?? null },
  { header: `flare ${word} [rpm]`, cell: (pair: Pair) => pair[word]?.flareRpm ?? null },
  { header: `tie-up ${word} [m/s²]`, cell: (pair: Pair) => pair[word]?.tieUpDepth ?? null },
  { header: `peak jerk ${word} [m/s³]`, cell: (pair: Pair) => pair[word]?.peakJerk ?? null },
  { header: `inertia time ${word} [s]`, cell: (pair: Pair) => pair[word]?.inertiaTimeS ?? null },
];

const CSV_COLUMNS = [
  { header: 'command [s]', cell: (pair: Pair) => either(pair).commandS },
  { header: 'shift', cell: (pair: Pair) => either(pair).kind },
  ...side('before'),
  ...side('after'),
];

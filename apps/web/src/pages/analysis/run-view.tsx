import { Progress } from '@mantine/core';
import type { AnalysisRunResponse, CandidateLog } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { analysisRunQueries } from '../../api/analysis-runs.js';
import { csvFileName } from '../../format/csv.js';
import { counted, formatCount } from '../../format/quantity.js';
import { sentence } from '../../format/words.js';
import { CsvButton } from '../../parts/csv-button.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { Instant } from '../../parts/instant.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { TextLink } from '../../parts/text-link.js';
import { EffectSections } from './effect-sections.js';
import { EndRun } from './end-run.js';
import { OUTCOME_WORDS, progressWords, RUN_STATE_WORDS, runTitle } from './run-words.js';

/** One run: how far it is, what it changes, and the ways to end it. */
export function RunView({ runId }: { readonly runId: string }) {
  const run = useQuery(analysisRunQueries.one(runId));
  return <QueryView query={run}>{(found) => <Run run={found} />}</QueryView>;
}

function Run({ run }: { readonly run: AnalysisRunResponse }) {
  const { effect, progress } = run;
  return (
    <>
      <Section title={`${runTitle(run)}: ${run.platformTitle}`} note={<RunFacts run={run} />}>
        {progress !== null && (
          <div style={{ maxWidth: 560 }} aria-live="polite">
            <p style={{ margin: '0 0 4px' }}>
              {sentence(RUN_STATE_WORDS[run.state])}: {progressWords(run)}
            </p>
            <Progress
              value={progress.total === 0 ? 100 : (100 * progress.done) / progress.total}
              aria-label="Logs with their new result"
            />
          </div>
        )}
        {effect !== null && (
          <p>
            {counted(effect.logs.analysed, 'log')} read again, {formatCount(effect.logs.regraded)} graded again,{' '}
            {formatCount(effect.logs.failed)} could not be read again; {counted(effect.logs.changed, 'log')} changed.
            {run.state === 'collecting' && ' Not all logs are counted yet.'}
          </p>
        )}
        <EndRun run={run} />
      </Section>
      {effect !== null && effect.total.before + effect.total.after > 0 && <EffectSections run={run} effect={effect} />}
      <ChangedLogs run={run} />
    </>
  );
}

function RunFacts({ run }: { readonly run: AnalysisRunResponse }) {
  return (
    <>
      Analysis version {run.analysisVersion}, grading policy {run.policyVersion}
      {run.endedAt === null && ` (in force: ${run.policyInForce})`}. Begun <Instant at={run.beganAt} /> by{' '}
      {run.beganByName}.
      {run.endedAt !== null && (
        <>
          {' '}
          {sentence(RUN_STATE_WORDS[run.state])} <Instant at={run.endedAt} /> by {run.endedByName}
          {run.endNote !== null && run.endNote !== '' && `: ${run.endNote}`}.
        </>
      )}
    </>
  );
}

function ChangedLogs({ run }: { readonly run: AnalysisRunResponse }) {
  const { changedLogs, endedAt } = run;
  if (endedAt !== null || changedLogs.length === 0) return null;
  return (
    <Section
      title="Logs that change most"
      note="Those that could not be read again first: they keep their shifts, graded by the policy of the run, and say so."
      actions={
        <CsvButton fileName={csvFileName('analysis', run.id, 'logs')} columns={CSV_COLUMNS} rows={changedLogs} />
      }
    >
      <DataTable label="Changed logs" columns={columnsFor(run.id)} rows={changedLogs} rowId={({ logId }) => logId} />
    </Section>
  );
}

function columnsFor(runId: string): readonly DataColumn<CandidateLog>[] {
  return [
    {
      id: 'file',
      title: 'Drive',
      render: ({ logId, fileName }) => (
        <TextLink to="/analysis/$runId/logs/$logId" params={{ runId, logId }}>
          {fileName}
        </TextLink>
      ),
    },
    { id: 'car', title: 'Car', render: ({ vehicleTitle }) => vehicleTitle },
    { id: 'driven', title: 'Driven', render: ({ drivenAt }) => <Instant at={drivenAt} /> },
    {
      id: 'outcome',
      title: 'Outcome',
      render: ({ outcome, problem }) => (
        <>
          {OUTCOME_WORDS[outcome]}
          {problem !== null && `: ${problem.detail}`}
        </>
      ),
    },
    { id: 'found', title: 'Found', isNumber: true, render: ({ found }) => formatCount(found) },
    { id: 'lost', title: 'Lost', isNumber: true, render: ({ lost }) => formatCount(lost) },
    { id: 'regraded', title: 'Graded otherwise', isNumber: true, render: ({ regraded }) => formatCount(regraded) },
  ];
}

const CSV_COLUMNS = [
  { header: 'log', cell: (log: CandidateLog) => log.logId },
  { header: 'file', cell: (log: CandidateLog) => log.fileName },
  { header: 'vehicle', cell: (log: CandidateLog) => log.vehicleTitle },
  { header: 'driven at', cell: (log: CandidateLog) => log.drivenAt },
  { header: 'outcome', cell: (log: CandidateLog) => log.outcome },
  { header: 'problem', cell: (log: CandidateLog) => log.problem?.detail ?? null },
  { header: 'found (shifts)', cell: (log: CandidateLog) => log.found },
  { header: 'lost (shifts)', cell: (log: CandidateLog) => log.lost },
  { header: 'graded otherwise (shifts)', cell: (log: CandidateLog) => log.regraded },
];

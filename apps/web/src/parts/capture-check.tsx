import type { CaptureCheck } from '@syncline/contract';
import { csvFileName } from '../format/csv.js';
import { counted, formatCount, formatNumber } from '../format/quantity.js';
import { formatDuration } from '../format/time.js';
import { sentence } from '../format/words.js';
import classes from './capture-check.module.css';
import { CsvButton } from './csv-button.js';
import { type DataColumn, DataTable } from './data-table.js';
import { VerdictMark } from './state-mark.js';

type Score = CaptureCheck['scores'][number];
type Disagreement = Score['disagreements'][number];

const KIND_WORDS: Record<Disagreement['kind'], string> = {
  missing: 'not sent',
  unexpected: 'not in the profile',
  period: 'another period',
  length: 'another length',
};

const COLUMNS: readonly DataColumn<Disagreement>[] = [
  { id: 'identifier', title: 'Identifier', isShort: true, render: ({ identifier }) => <code>{identifier}</code> },
  { id: 'kind', title: 'What disagrees', render: ({ kind }) => KIND_WORDS[kind] },
  { id: 'expected', title: 'By the profile', render: ({ expected }) => expected },
  { id: 'found', title: 'In the capture', render: ({ found }) => found },
];

const CSV_COLUMNS = [
  { header: 'dialect', cell: (row: Disagreement & { dialect: string }) => row.dialect },
  { header: 'identifier (hexadecimal)', cell: (row: Disagreement) => row.identifier },
  { header: 'what', cell: (row: Disagreement) => row.kind },
  { header: 'by the profile', cell: (row: Disagreement) => row.expected },
  { header: 'in the capture', cell: (row: Disagreement) => row.found },
];

interface CaptureCheckProps {
  readonly check: CaptureCheck;
  readonly titleOf: (dialectId: string | null) => string;
}

/** What one bus capture says of the dialect of its car, and exactly which identifiers disagree. */
export function CaptureCheckView({ check, titleOf }: CaptureCheckProps) {
  const rows = check.scores.flatMap(({ dialect, disagreements }) =>
    disagreements.map((entry) => ({ ...entry, dialect })),
  );
  return (
    <div className={classes.check}>
      <p>
        <VerdictMark verdict={check.verdict} /> against {titleOf(check.declaredDialect)}, as declared then.{' '}
        {check.observed === null ? 'Not told: ' : `It speaks ${titleOf(check.observed)}: `}
        {check.reason}.
      </p>
      <dl className={classes.facts}>
        <Fact word="Bus" value={check.busInterface ?? 'none'} />
        <Fact word="Length" value={formatDuration(check.durationS)} />
        <Fact word="Frames" value={formatCount(check.frames)} />
        <Fact word="Identifiers" value={formatCount(check.identifierCount)} />
        {check.margin !== null && (
          <Fact word="Lead over the next dialect" value={`${formatNumber(check.margin, 0)} in log-likelihood`} />
        )}
      </dl>
      {check.scores.map((score) => (
        <ScoreView key={score.dialect} score={score} title={titleOf(score.dialect)} />
      ))}
      {rows.length > 0 && (
        <CsvButton fileName={csvFileName('capture', check.fileName, 'identifiers')} columns={CSV_COLUMNS} rows={rows} />
      )}
    </div>
  );
}

function ScoreView({ score, title }: { readonly score: Score; readonly title: string }) {
  const { matched, disagreementCount, disagreements, profileVersion } = score;
  const compared = matched + disagreementCount;
  return (
    <section aria-label={`Against ${title}`}>
      <h3 className={classes.score}>
        Against {title}, profile {profileVersion}: {matched} of {counted(compared, 'identifier')} agree
      </h3>
      {disagreements.length > 0 && (
        <DataTable
          label={`Identifiers that disagree with ${title}`}
          columns={COLUMNS}
          rows={disagreements}
          rowId={({ kind, identifier }) => `${identifier} ${kind}`}
        />
      )}
      {disagreementCount > disagreements.length && (
        <p className={classes.more}>
          {sentence(`the first ${disagreements.length} of ${disagreementCount} are shown.`)}
        </p>
      )}
    </section>
  );
}

function Fact({ word, value }: { readonly word: string; readonly value: string }) {
  return (
    <div>
      <dt>{word}</dt>
      <dd>{value}</dd>
    </div>
  );
}

import type { ReleaseCar, ReleaseResponse } from '@syncline/contract';
import { csvFileName } from '../../format/csv.js';
import { CsvButton } from '../../parts/csv-button.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { Instant } from '../../parts/instant.js';
import { RevisionLink } from '../../parts/revision-link.js';
import { Section } from '../../parts/section.js';
import { TextLink } from '../../parts/text-link.js';
import { AnswerMark } from './release-marks.js';
import { GATE_WORDS } from './release-words.js';
import classes from './releases.module.css';

const MAIL_WORDS = {
  none: 'on their pages',
  waiting: 'mail waiting',
  sent: 'mail sent',
  failed: 'mail failed',
} as const;

/** Who is in the cohort, who was told, who confirmed, and what each car really runs. */
export function CarsSection({ release }: { readonly release: ReleaseResponse }) {
  return (
    <Section
      title="Cars"
      note="In the order of the release. What a car runs is told by its newest drive that says so, else by what was entered."
      actions={
        <CsvButton fileName={csvFileName('cars', release.revisionLabel)} columns={CSV_COLUMNS} rows={release.cars} />
      }
    >
      {release.cars.length === 0 ? (
        'No car may have it as things are: none of the platform has a verified dialect, the layout and what else was asked for.'
      ) : (
        <DataTable
          label="Cars of the release"
          columns={COLUMNS}
          rows={release.cars}
          rowId={({ vehicleId }) => vehicleId}
        />
      )}
    </Section>
  );
}

const COLUMNS: readonly DataColumn<ReleaseCar>[] = [
  { id: 'position', title: 'Place', isNumber: true, render: ({ position }) => position },
  {
    id: 'car',
    title: 'Car',
    render: ({ vehicleId, title, ownerName }) => (
      <>
        <TextLink to="/vehicles/$vehicleId" params={{ vehicleId }}>
          {title}
        </TextLink>
        <span className={classes.small}>{ownerName}</span>
      </>
    ),
  },
  {
    id: 'stage',
    title: 'Taken in',
    render: ({ stage, takenAt }) =>
      stage === null ? (
        'not yet'
      ) : (
        <>
          stage {stage + 1}
          <span className={classes.small}>
            <Instant at={takenAt} precision="day" />
          </span>
        </>
      ),
  },
  { id: 'told', title: 'Told', render: ({ stage, mail }) => (stage === null ? '–' : MAIL_WORDS[mail]) },
  { id: 'downloads', title: 'Downloads', isNumber: true, render: ({ downloads }) => downloads },
  {
    id: 'answer',
    title: 'Answer',
    render: ({ stage, answer, answerNote }) =>
      stage === null ? (
        '–'
      ) : (
        <>
          <AnswerMark answer={answer} />
          {answerNote !== '' && <span className={classes.small}>{answerNote}</span>}
        </>
      ),
  },
  { id: 'runs', title: 'Runs', render: (car) => <Runs car={car} /> },
  {
    id: 'reasons',
    title: 'Kept from it by',
    render: ({ reasons }) => reasons.map(({ code }) => GATE_WORDS[code]).join(', ') || 'nothing',
  },
];

function Runs({ car: { runs, runsIt } }: { readonly car: ReleaseCar }) {
  if (runs.source === 'none') return <>not known</>;
  return (
    <>
      {runs.revisionId === null ? runs.label : <RevisionLink revisionId={runs.revisionId} label={runs.label} />}
      {runsIt && ' (this one)'}
      <span className={classes.small}>{runs.source === 'log' ? 'by its drive' : 'as entered'}</span>
      {runs.disagreement !== null && <span className={classes.small}>⚠ {runs.disagreement}</span>}
    </>
  );
}

const CSV_COLUMNS = [
  { header: 'place', cell: ({ position }: ReleaseCar) => position },
  { header: 'car', cell: ({ title }: ReleaseCar) => title },
  { header: 'owner', cell: ({ ownerName }: ReleaseCar) => ownerName },
  { header: 'stage', cell: ({ stage }: ReleaseCar) => (stage === null ? null : stage + 1) },
  { header: 'taken in at', cell: ({ takenAt }: ReleaseCar) => takenAt },
  { header: 'mail', cell: ({ mail }: ReleaseCar) => mail },
  { header: 'downloads', cell: ({ downloads }: ReleaseCar) => downloads },
  { header: 'answer', cell: ({ answer }: ReleaseCar) => answer },
  { header: 'answer note', cell: ({ answerNote }: ReleaseCar) => answerNote },
  { header: 'runs', cell: ({ runs }: ReleaseCar) => runs.label },
  { header: 'known by', cell: ({ runs }: ReleaseCar) => runs.source },
  { header: 'disagreement', cell: ({ runs }: ReleaseCar) => runs.disagreement },
  { header: 'kept from it by', cell: ({ reasons }: ReleaseCar) => reasons.map(({ code }) => code).join('; ') },
];

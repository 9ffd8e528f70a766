import type { ProposalPolicy, ProposalResponse } from '@syncline/contract';
import { type CsvColumn, csvFileName } from '../../format/csv.js';
import { counted, formatNumber } from '../../format/quantity.js';
import { formatShare } from '../../format/rate.js';
import { CsvButton } from '../../parts/csv-button.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { Section } from '../../parts/section.js';
import { TextLink } from '../../parts/text-link.js';
import { ContentHash } from '../revision/content-hash.js';
import classes from './proposals.module.css';

type Evidence = ProposalResponse['evidence'][number];

const COLUMNS: readonly DataColumn<Evidence>[] = [
  {
    id: 'vehicle',
    title: 'Car',
    render: ({ vehicleId, vehicleTitle }) => (
      <TextLink to="/vehicles/$vehicleId" params={{ vehicleId }}>
        {vehicleTitle}
      </TextLink>
    ),
  },
  {
    id: 'revision',
    title: 'Drove',
    render: ({ revisionNumber }) => (revisionNumber === null ? '–' : `r${revisionNumber}`),
  },
  { id: 'shifts', title: 'Shifts', isNumber: true, render: ({ shifts }) => shifts ?? '–' },
  { id: 'version', title: 'State of its evidence', isNumber: true, render: ({ version }) => version },
  {
    id: 'moments',
    title: 'Hash of its moments',
    render: ({ momentsHash }) => (momentsHash === null ? '–' : <ContentHash hash={momentsHash} />),
  },
];

const CSV_COLUMNS: readonly CsvColumn<Evidence>[] = [
  { header: 'vehicle id', cell: ({ vehicleId }) => vehicleId },
  { header: 'car', cell: ({ vehicleTitle }) => vehicleTitle },
  { header: 'revision id', cell: ({ revisionId }) => revisionId },
  { header: 'revision', cell: ({ revisionNumber }) => revisionNumber },
  { header: 'shifts', cell: ({ shifts }) => shifts },
  { header: 'state of its evidence', cell: ({ version }) => version },
  { header: 'hash of its moments', cell: ({ momentsHash }) => momentsHash },
];

/** Everything that the proposal depends on, so that it can be traced and made again. */
export function InputsSection({ proposal }: { readonly proposal: ProposalResponse }) {
  const { evidence, policy, inputHash, resultHash, result } = proposal;
  return (
    <Section
      title="Made of"
      note="The same inputs give the same proposal: asked again, the one that exists is shown."
      actions={
        <CsvButton
          fileName={csvFileName('proposal', 'inputs', inputHash.slice(0, 12))}
          columns={CSV_COLUMNS}
          rows={evidence}
        />
      }
    >
      <dl className={classes.facts}>
        <Fact name="Hash of the inputs">
          <ContentHash hash={inputHash} />
        </Fact>
        <Fact name="Hash of the result">{resultHash === null ? '–' : <ContentHash hash={resultHash} />}</Fact>
        <Fact name="Content of the base revision">
          <ContentHash hash={proposal.baseContentHash} />
        </Fact>
        <Fact name="Versions">
          estimator {proposal.estimatorVersion}, analysis {proposal.analysisVersion}, grading policy{' '}
          {proposal.gradingPolicyVersion}
        </Fact>
        {result !== null && (
          <>
            <Fact name="Shifts analysed and graded by">{result.shiftVersions.join('; ')}</Fact>
            <Fact name="Spread (standard deviation, torque)">
              one shift {formatShare(result.components.residualSd)}, between cars{' '}
              {formatShare(result.components.vehicleSd)}, in one kind of shift{' '}
              {formatShare(result.components.vehicleShiftSd)}
              {!result.isConverged && '; still moving when the search ended'}
            </Fact>
            <Fact name="Shifts followed earlier changes of the map by">
              {formatShare(result.response.slope)} ± {formatShare(result.response.standardError)}; corrections and trims
              are divided by it
            </Fact>
          </>
        )}
        {policyFacts(policy).map(([name, value]) => (
          <Fact key={name} name={name}>
            {value}
          </Fact>
        ))}
      </dl>
      <details className={classes.evidence}>
        <summary>Evidence of each car and revision, {counted(evidence.length, 'entry', 'entries')}</summary>
        <DataTable
          label="Evidence"
          columns={COLUMNS}
          rows={evidence}
          rowId={({ vehicleId, revisionId }) => `${vehicleId}/${revisionId}`}
        />
      </details>
    </Section>
  );
}

function Fact({ name, children }: { readonly name: string; readonly children: React.ReactNode }) {
  return (
    <div>
      <dt>{name}</dt>
      <dd>{children}</dd>
    </div>
  );
}

/** The policy in words. */
function policyFacts(policy: ProposalPolicy): readonly (readonly [string, string])[] {
  return [
    [
      'A value moves with at least',
      `${formatNumber(policy.minShifts, 0)} shifts and ${formatNumber(policy.minVehicles, 0)} cars`,
    ],
    ['Uncertainty up to (standard deviation)', formatShare(policy.maxSdLn)],
    ['Correction of at least', `${formatNumber(policy.leastSignal, 1)} standard deviations`],
    ['Largest step in one revision', formatShare(policy.maxStep)],
    ['Never lowered above a flare rate of', formatShare(policy.maxFlareRate)],
    ['Values with thin evidence', policy.carriesThin ? 'may go along with a neighbour' : 'hold their neighbours'],
    ['Shifts under earlier revisions', policy.useEarlierRevisions ? 'count too' : 'are left out'],
  ];
}

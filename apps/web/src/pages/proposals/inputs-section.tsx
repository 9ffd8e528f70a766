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
  { id: 'counted', title: 'Count', isNumber: true, render: ({ counted: used }) => used ?? '–' },
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
  { header: 'shifts that count', cell: ({ counted: used }) => used },
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
            <Fact name="Shifts that count">{countedWords(proposal) ?? '–'}</Fact>
            <Fact name="Count less, as they are far from all the rest">{farWords(result) ?? '–'}</Fact>
            <Fact name="Shifts analysed and graded by">{result.shiftVersions.join('; ')}</Fact>
            <Fact name="Spread (standard deviation, torque)">
              one shift {formatShare(result.components.residualSd)}, between cars{' '}
              {formatShare(result.components.vehicleSd)}, in one kind of shift{' '}
              {formatShare(result.components.vehicleShiftSd)}
              {!result.isConverged && '; still moving when the search ended'}
            </Fact>
            {policy.useEarlierRevisions && (
              <Fact name="Shifts followed earlier changes of the map by">
                {formatShare(result.response.slope)} ± {formatShare(result.response.standardError)}; corrections and
                trims are divided by it
              </Fact>
            )}
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
    ['Shifts under earlier revisions', earlierWords(policy)],
  ];
}

function earlierWords({ useEarlierRevisions, useSameCommand }: ProposalPolicy): string {
  if (useEarlierRevisions) return 'count too, carried over';
  return useSameCommand ? 'count where the command was the same' : 'are left out';
}

/** How many shifts under each revision were used, the base first; null where an earlier program made the proposal. */
function countedWords({ evidence, baseRevisionId }: ProposalResponse): string | null {
  const byRevision = new Map<string, { name: string; shifts: number; used: number }>();
  for (const { revisionId, revisionNumber, shifts, counted: used } of evidence) {
    if (used === null) return null;
    const sums = byRevision.get(revisionId) ?? { name: `r${revisionNumber ?? '?'}`, shifts: 0, used: 0 };
    byRevision.set(revisionId, { ...sums, shifts: sums.shifts + (shifts ?? 0), used: sums.used + used });
  }
  const parts = [...byRevision]
    .sort(([a], [b]) => Number(b === baseRevisionId) - Number(a === baseRevisionId) || (a < b ? 1 : -1))
    .map(([, { name, shifts, used }]) => `${formatNumber(used, 0)} of ${formatNumber(shifts, 0)} under ${name}`);
  return parts.length === 0 ? null : parts.join('; ');
}

/** How many shifts count less; null where an earlier program made the proposal. */
function farWords({ vehicles }: NonNullable<ProposalResponse['result']>): string | null {
  const cars = vehicles.filter(({ farShifts }) => (farShifts ?? 0) > 0).length;
  const far = vehicles.reduce<number | null>(
    (sum, { farShifts }) => (sum === null || farShifts === null ? null : sum + farShifts),
    0,
  );
  return far === null ? null : far === 0 ? 'none' : `${counted(far, 'shift')} of ${counted(cars, 'car')}`;
}

import type { CompareOutcomesResponse } from '@syncline/contract';
import type { UseQueryResult } from '@tanstack/react-query';
import { csvFileName } from '../../format/csv.js';
import { formatShare } from '../../format/rate.js';
import { MEASURE_WORDS } from '../../format/words.js';
import { CsvButton } from '../../parts/csv-button.js';
import { DataTable } from '../../parts/data-table.js';
import { HelpTerm } from '../../parts/help-term.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { BlockSkeleton } from '../../parts/skeletons.js';
import { revisionLabel } from '../revision/revision-label.js';
import classes from './compare.module.css';
import { conclude } from './conclusion.js';
import { DetailSection } from './detail-section.js';
import { OUTCOME_CSV_COLUMNS, outcomeColumns } from './outcome-columns.js';
import { reachOfEffects } from './outcome-reach.js';
import { OverlapSection } from './overlap-section.js';
import { SpreadsSection } from './spreads-section.js';
import { useCompareView } from './use-compare-view.js';

interface OutcomesSectionProps {
  readonly query: UseQueryResult<CompareOutcomesResponse>;
  /** Whether what stands behind the outcomes is drawn too. */
  readonly isDetailDue: boolean;
}

/** What came of both revisions on the road, from the plain sentence to the single car. */
export function OutcomesSection({ query, isDetailDue }: OutcomesSectionProps) {
  const { data } = query;
  const isDriven = data !== undefined && data.base.shiftCount > 0 && data.other.shiftCount > 0;
  return (
    <>
      <Section
        title="Outcomes"
        note={data && <OutcomesNote outcomes={data} />}
        actions={
          data && (
            <CsvButton
              fileName={csvFileName('compare', revisionLabel(data.base), revisionLabel(data.other), 'outcomes')}
              columns={OUTCOME_CSV_COLUMNS}
              rows={data.measures}
            />
          )
        }
      >
        <QueryView
          query={query}
          skeleton={<BlockSkeleton height={260} />}
          isEmpty={({ base, other }) => base.shiftCount === 0 && other.shiftCount === 0}
          empty="No shift has been driven with either of them yet. The maps below can be compared all the same."
        >
          {(outcomes) => <Outcomes outcomes={outcomes} />}
        </QueryView>
      </Section>
      {isDriven && isDetailDue && (
        <>
          <DetailSection outcomes={data} />
          <SpreadsSection base={data.base} other={data.other} />
          <OverlapSection base={data.base} other={data.other} />
        </>
      )}
    </>
  );
}

function Outcomes({ outcomes }: { readonly outcomes: CompareOutcomesResponse }) {
  const { search } = useCompareView();
  const { base, other, measures } = outcomes;
  const effects = measures.flatMap(({ adjusted, unadjusted }) => [adjusted, unadjusted]);
  return (
    <>
      <ConclusionText outcomes={outcomes} />
      <DataTable
        label="Outcomes of both revisions"
        columns={outcomeColumns({ base, other, search, reach: reachOfEffects(effects) })}
        rows={measures}
        rowId={({ measure }) => measure}
        chosenRowId={search.measure ?? 'flare'}
      />
    </>
  );
}

/** What may be concluded of the measure that is looked at, and what may not. */
function ConclusionText({ outcomes }: { readonly outcomes: CompareOutcomesResponse }) {
  const { search } = useCompareView();
  const measure = search.measure ?? 'flare';
  const labels = { base: revisionLabel(outcomes.base), other: revisionLabel(outcomes.other) };
  const { may, mayNot } = conclude({ ...outcomes, labels, measure });
  return (
    <div className={classes.conclusion}>
      <p>
        <strong>{MEASURE_WORDS[measure]}: what may be concluded.</strong> {may}
      </p>
      <p className={classes.limits}>{mayNot.join(' ')}</p>
    </div>
  );
}

function OutcomesNote({ outcomes: { overlap, base, other } }: { readonly outcomes: CompareOutcomesResponse }) {
  return (
    <>
      Differences are {revisionLabel(other)} minus {revisionLabel(base)} in percentage points (pp), with{' '}
      <HelpTerm term="interval">95 % intervals</HelpTerm>; left of the middle line is less. The adjusted ones compare
      like with like: only operating points (shift, load, fluid temperature, program) driven under both count,{' '}
      {formatShare(overlap)} of the shifts. Hollow points are not adjusted. A measure opens what stands behind it.
    </>
  );
}

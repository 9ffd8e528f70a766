import type { CompareOutcomesResponse } from '@syncline/contract';
import type { UseQueryResult } from '@tanstack/react-query';
import { reachOf } from '../../charts/effect-bar.js';
import { csvFileName } from '../../format/csv.js';
import { formatShare } from '../../format/rate.js';
import { CsvButton } from '../../parts/csv-button.js';
import { DataTable } from '../../parts/data-table.js';
import { HelpTerm } from '../../parts/help-term.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { BlockSkeleton } from '../../parts/skeletons.js';
import { revisionLabel } from '../revision/revision-label.js';
import { OUTCOME_CSV_COLUMNS, outcomeColumns } from './outcome-columns.js';

/** Rates of both revisions and how they differ, as driven and adjusted for different driving. */
export function OutcomesSection({ query }: { readonly query: UseQueryResult<CompareOutcomesResponse> }) {
  const { data } = query;
  return (
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
        {(outcomes) => (
          <DataTable
            label="Outcomes of both revisions"
            columns={outcomeColumns(outcomes, reachOfAll(outcomes))}
            rows={outcomes.measures}
            rowId={({ measure }) => measure}
          />
        )}
      </QueryView>
    </Section>
  );
}

function OutcomesNote({ outcomes: { overlap, base, other } }: { readonly outcomes: CompareOutcomesResponse }) {
  return (
    <>
      Differences are {revisionLabel(other)} minus {revisionLabel(base)} in percentage points (pp), with{' '}
      <HelpTerm term="interval">95 % intervals</HelpTerm>; left of the middle line is less. The adjusted ones compare
      like with like: only operating points (shift, load, fluid temperature, program) driven under both count,{' '}
      {formatShare(overlap)} of the shifts. Hollow points are not adjusted.
    </>
  );
}

/** One scale for all bars, so that they can be compared by eye. */
function reachOfAll({ measures }: CompareOutcomesResponse): number {
  return reachOf(
    measures
      .flatMap(({ adjusted, unadjusted }) => [adjusted, unadjusted])
      .flatMap((effect) => (effect.kind === 'estimate' ? [effect.low, effect.high] : [])),
  );
}

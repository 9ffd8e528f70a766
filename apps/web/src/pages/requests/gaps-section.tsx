import { Button } from '@mantine/core';
import type { CoverageGap, GapsResponse } from '@syncline/contract';
import type { UseQueryResult } from '@tanstack/react-query';
import { useMemo, useState } from 'react';
import type { GapFilter } from '../../api/requests.js';
import { csvFileName } from '../../format/csv.js';
import { formatCount } from '../../format/quantity.js';
import { formatShare } from '../../format/rate.js';
import { CsvButton } from '../../parts/csv-button.js';
import { DataTable } from '../../parts/data-table.js';
import { HelpTerm } from '../../parts/help-term.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { GAP_CSV_COLUMNS, gapColumns } from './gap-columns.js';
import { pointKey } from './request-words.js';

/** More are seldom asked for at once; the rest is one press away. */
const SHOWN = 12;
const NO_GAPS: readonly CoverageGap[] = [];

interface GapsSectionProps {
  readonly filter: GapFilter;
  readonly query: UseQueryResult<GapsResponse>;
  readonly chosen: ReadonlySet<string>;
  readonly onAsk: ((key: string) => void) | undefined;
}

/** Where too little is known, those points first where a drive tells most. */
export function GapsSection({ filter, query, chosen, onAsk }: GapsSectionProps) {
  const [isAll, setAll] = useState(false);
  const items = query.data?.items ?? NO_GAPS;
  const columns = useMemo(() => gapColumns({ largest: items[0]?.gain ?? 1, chosen, onAsk }), [items, chosen, onAsk]);
  return (
    <Section
      title="Where a drive tells most"
      note={query.data && <HowGained gaps={query.data} />}
      actions={
        <CsvButton
          fileName={csvFileName('gaps', filter.platform, filter.revision, filter.program)}
          columns={GAP_CSV_COLUMNS}
          rows={items}
        />
      }
    >
      <QueryView
        query={query}
        isEmpty={(gaps) => gaps.items.length === 0}
        empty="Every operating point has enough shifts, cars and dialects."
      >
        {(gaps) => (
          <>
            <DataTable
              label="Operating points with too little evidence"
              columns={columns}
              rows={gaps.items.slice(0, isAll ? undefined : SHOWN)}
              rowId={pointKey}
            />
            {gaps.items.length > SHOWN && (
              <Button variant="subtle" size="compact-sm" mt="xs" onClick={() => setAll(!isAll)}>
                {isAll ? 'Show fewer' : `Show all ${formatCount(gaps.items.length)}`}
              </Button>
            )}
          </>
        )}
      </QueryView>
    </Section>
  );
}

function HowGained({ gaps }: { readonly gaps: GapsResponse }) {
  const { askShifts, rateBound, carCorrelation, neededShifts, neededVehicles } = gaps;
  return (
    <>
      A point needs {formatCount(neededShifts)} shifts in {formatCount(neededVehicles)} cars, and one car of each
      dialect. <HelpTerm term="gain">Gain</HelpTerm> = share of driving × probability that more than{' '}
      {formatShare(rateBound)} of the shifts flare × narrowing of the 95 % interval to be expected of{' '}
      {formatCount(askShifts)} shifts of a further car. Shifts of one car are alike (correlation{' '}
      {carCorrelation.toFixed(2)}), so that a further car tells more than the same one again.
    </>
  );
}

import type { CompareTablesResponse } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { ApiProblem } from '../../api/api-problem.js';
import { calibrationQueries } from '../../api/calibrations.js';
import { platformQueries } from '../../api/platforms.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { BlockSkeleton } from '../../parts/skeletons.js';
import { useOncePainted } from '../../parts/use-once-painted.js';
import { CommandedDifference } from './commanded-difference.js';
import { draftKey } from './compared-content.js';
import { MapsSection } from './maps-section.js';
import { OutcomesSection } from './outcomes-section.js';

interface ComparisonProps {
  /** Id of a revision, or `draft:` and that of a draft. */
  readonly baseId: string;
  readonly otherId: string;
}

/** Outcomes and maps of two revisions on one page; a draft has no outcome. */
export function Comparison({ baseId, otherId }: ComparisonProps) {
  const hasDraft = [baseId, otherId].some((key) => key.startsWith(draftKey('')));
  const outcomes = useQuery({ ...calibrationQueries.compareOutcomes(baseId, otherId), enabled: !hasDraft });
  const tables = useQuery(calibrationQueries.compareTables(baseId, otherId));
  // What was concluded is drawn first; what stands behind it, and the maps, come after it.
  const hasOutcomes = useOncePainted(hasDraft || !outcomes.isPending);
  // A revision that is gone, or two of different platforms: one notice says it, not one for each section.
  if (isSameProblem(outcomes.error, tables.error)) return <ProblemNotice error={outcomes.error} />;
  return (
    <>
      {hasDraft ? (
        <Section title="Outcomes">Nobody has driven a draft: only its tables can be compared.</Section>
      ) : (
        <OutcomesSection query={outcomes} isDetailDue={hasOutcomes} />
      )}
      {hasOutcomes ? (
        <QueryView query={tables} skeleton={<BlockSkeleton height={420} />}>
          {(found) => <ComparedMaps found={found} />}
        </QueryView>
      ) : (
        <BlockSkeleton height={420} />
      )}
    </>
  );
}

function isSameProblem(one: Error | null, other: Error | null): boolean {
  return (
    one instanceof ApiProblem && other instanceof ApiProblem && one.code === other.code && one.document.status < 500
  );
}

/** What can only be read with the layout and the platform that both were made for. */
function ComparedMaps({ found }: { readonly found: CompareTablesResponse }) {
  const { platformId, layoutVersion } = found.other;
  const layout = useQuery(platformQueries.layout(platformId, layoutVersion));
  const platform = useQuery(platformQueries.one(platformId));
  return (
    <QueryView query={layout} skeleton={<BlockSkeleton height={420} />}>
      {({ layout: foundLayout }) => (
        <QueryView query={platform} skeleton={<BlockSkeleton height={420} />}>
          {({ platform: foundPlatform }) => (
            <>
              <MapsSection found={found} layout={foundLayout} platform={foundPlatform} />
              <CommandedDifference found={found} layout={foundLayout} platform={foundPlatform} />
            </>
          )}
        </QueryView>
      )}
    </QueryView>
  );
}

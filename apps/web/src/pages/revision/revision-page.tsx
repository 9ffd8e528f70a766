import type { RevisionResponse } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useParams } from '@tanstack/react-router';
import { calibrationQueries } from '../../api/calibrations.js';
import { platformQueries } from '../../api/platforms.js';
import { QueryView } from '../../parts/query-view.js';
import { BlockSkeleton } from '../../parts/skeletons.js';
import { CommandedSection } from './commanded-section.js';
import { FindingsSection } from './findings-section.js';
import { OutcomeSection } from './outcome-section.js';
import { RevisionHead } from './revision-head.js';
import { TablesSection } from './tables-section.js';

/** One revision: what it did on the road, its tables with the evidence in each cell, what it commands. */
export function RevisionPage() {
  const { revisionId } = useParams({ from: '/house/revisions/$revisionId' });
  const revision = useQuery(calibrationQueries.revision(revisionId));
  return (
    <>
      <RevisionHead revision={revision.data} />
      <QueryView query={revision}>
        {(found) => (
          <>
            <OutcomeSection revision={found} />
            <RevisionTables revision={found} />
          </>
        )}
      </QueryView>
    </>
  );
}

/** What can only be read with the layout and the platform that the revision was made for. */
function RevisionTables({ revision }: { readonly revision: RevisionResponse }) {
  const layout = useQuery(platformQueries.layout(revision.platformId, revision.layoutVersion));
  const platform = useQuery(platformQueries.one(revision.platformId));
  return (
    <QueryView query={layout} skeleton={<BlockSkeleton height={420} />}>
      {({ layout: foundLayout }) => (
        <QueryView query={platform} skeleton={<BlockSkeleton height={420} />}>
          {({ platform: foundPlatform }) => (
            <>
              <TablesSection revision={revision} layout={foundLayout} platform={foundPlatform} />
              <CommandedSection revision={revision} layout={foundLayout} platform={foundPlatform} />
              <FindingsSection revision={revision} layout={foundLayout} />
            </>
          )}
        </QueryView>
      )}
    </QueryView>
  );
}

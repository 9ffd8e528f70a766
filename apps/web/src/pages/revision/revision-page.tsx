import type { LayoutDocument, PlatformDocument, RevisionResponse } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useParams } from '@tanstack/react-router';
import { calibrationQueries } from '../../api/calibrations.js';
import { platformQueries } from '../../api/platforms.js';
import { QueryView } from '../../parts/query-view.js';
import { BlockSkeleton } from '../../parts/skeletons.js';
import { CommandedSection } from './commanded-section.js';
import { DownloadsSection } from './downloads-section.js';
import { FindingsSection } from './findings-section.js';
import { OutcomeSection } from './outcome-section.js';
import { ReviewSection } from './review-section.js';
import { RevisionHead } from './revision-head.js';
import { ScheduleReplay } from './schedule-replay.js';
import { ScheduleSection } from './schedule-section.js';
import { TablesSection } from './tables-section.js';
import { useRevisionView } from './use-revision-view.js';

/** One revision: what it did on the road, its review, its tables with the evidence in each cell, what it commands. */
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
            <ReviewSection revision={found} />
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
              <RevisionSchedules revision={revision} layout={foundLayout} platform={foundPlatform} />
              <FindingsSection revision={revision} layout={foundLayout} />
              <DownloadsSection revision={revision} layout={foundLayout} />
            </>
          )}
        </QueryView>
      )}
    </QueryView>
  );
}

interface RevisionSchedulesProps {
  readonly revision: RevisionResponse;
  readonly layout: LayoutDocument;
  readonly platform: PlatformDocument;
}

/** The shift schedules as lines beside those of the parent, and over a recorded drive. */
function RevisionSchedules({ revision, layout, platform }: RevisionSchedulesProps) {
  const { search, change } = useRevisionView();
  const hasSchedules = (layout.schedules ?? []).length > 0;
  const { parentId, layoutVersion } = revision;
  const parent = useQuery({
    ...calibrationQueries.revision(parentId ?? ''),
    enabled: hasSchedules && parentId !== null,
  });
  if (!hasSchedules) return null;
  const isSameLayout = parent.data?.layoutVersion === layoutVersion;
  return (
    <>
      <ScheduleSection
        layout={layout}
        platform={platform}
        content={revision.content}
        before={isSameLayout ? (parent.data?.content ?? null) : null}
        beforeName="parent"
        program={search.program}
        onProgram={(program) => change({ program })}
      />
      {layout.schedules?.map((schedule) => (
        <ScheduleReplay key={schedule.id} revision={revision} schedule={schedule} />
      ))}
    </>
  );
}

import { mayDo, type PlatformResponse } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useParams } from '@tanstack/react-router';
import { platformQueries } from '../../api/platforms.js';
import { useSession } from '../../api/session.js';
import { counted } from '../../format/quantity.js';
import { PageHead } from '../../parts/page-head.js';
import { QueryView } from '../../parts/query-view.js';
import { TextLink } from '../../parts/text-link.js';
import { DialectsSection } from './dialects-section.js';
import { GearsSection } from './gears-section.js';
import { VersionsSection } from './versions-section.js';

/** One gearbox: the dialects that its cars speak first, then its gears, layouts and grading policies. */
export function PlatformPage() {
  const { platformId } = useParams({ from: '/house/platforms/$platformId' });
  const query = useQuery(platformQueries.one(platformId));
  return (
    <>
      <PageHead
        title={query.data?.platform.title ?? 'Gearbox'}
        crumbs={<TextLink to="/platforms">Gearboxes</TextLink>}
        lead={query.data && leadOf(query.data)}
      />
      <QueryView query={query}>{(platform) => <PlatformView found={platform} />}</QueryView>
    </>
  );
}

function leadOf({ platform }: PlatformResponse): string {
  return [
    counted(platform.gears.length, 'gear'),
    counted(platform.clutches.length, 'clutch', 'clutches'),
    counted(platform.dialects.length, 'bus dialect'),
  ].join(', ');
}

function PlatformView({ found }: { readonly found: PlatformResponse }) {
  const mayWrite = mayDo(useSession().person.role, 'platform:write');
  return (
    <>
      <DialectsSection platform={found.platform} mayWrite={mayWrite} />
      <GearsSection platform={found.platform} />
      <VersionsSection found={found} />
    </>
  );
}

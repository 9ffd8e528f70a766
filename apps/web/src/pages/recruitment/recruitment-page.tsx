import { mayDo } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useNavigate, useSearch } from '@tanstack/react-router';
import { applicationQueries } from '../../api/applications.js';
import { useSession } from '../../api/session.js';
import { PageHead } from '../../parts/page-head.js';
import { QueryView } from '../../parts/query-view.js';
import { ApplicationsSection } from './applications-section.js';
import { CallSection } from './call-section.js';
import { NeedsSection } from './needs-section.js';
import type { RecruitmentSearch } from './recruitment-search.js';

/** Which cars the club lacks, how it asks for them, and who has offered one. */
export function RecruitmentPage() {
  const search = useSearch({ from: '/house/recruitment' });
  const navigate = useNavigate();
  const { role } = useSession().person;
  const mayChange = mayDo(role, 'application:write');
  const recruitment = useQuery(applicationQueries.recruitment());
  const go = (change: RecruitmentSearch) =>
    void navigate({ to: '/recruitment', search: { ...search, ...change }, resetScroll: false });
  return (
    <>
      <PageHead
        title="Recruitment"
        lead="Which cars the club has too few of, the call for testers, and those who have applied."
      />
      <QueryView query={recruitment}>
        {(found) => (
          <>
            <NeedsSection
              needs={found.needs}
              shown={search.profiles ?? 'lacking'}
              onShow={(profiles) => go({ profiles })}
            />
            <CallSection key={found.changedAt} recruitment={found} mayChange={mayChange} />
          </>
        )}
      </QueryView>
      <ApplicationsSection search={search} onChange={go} mayDecide={mayChange} />
    </>
  );
}

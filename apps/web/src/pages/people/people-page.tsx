import { mayDo } from '@syncline/contract';
import { useNavigate, useSearch } from '@tanstack/react-router';
import { useSession } from '../../api/session.js';
import { PageHead } from '../../parts/page-head.js';
import { AccountDialog } from './account-dialog.js';
import { AuditTrail } from './audit-trail.js';
import { ClubTokens } from './club-tokens.js';
import { InviteForm } from './invite-form.js';
import { PeopleList } from './people-list.js';
import type { PeopleSearch } from './people-search.js';
import { ServerSection } from './server-section.js';

/** Who belongs to the club, how more come in, and what was changed by whom. */
export function PeoplePage() {
  const { role } = useSession().person;
  const search = useSearch({ from: '/house/people' });
  const navigate = useNavigate();
  const change = (values: PeopleSearch) =>
    void navigate({ to: '/people', search: { ...search, ...values }, resetScroll: false });
  const mayManage = mayDo(role, 'people:write');
  return (
    <>
      <PageHead
        title="People"
        lead="Members of the club and their roles. New members come in by a link that works once."
      />
      {mayManage && <InviteForm />}
      <PeopleList onManage={mayManage ? (account) => change({ account }) : undefined} />
      {mayManage && <AccountDialog personId={search.account} onClose={() => change({ account: undefined })} />}
      {mayManage && <ClubTokens />}
      {mayDo(role, 'audit:read') && <ServerSection />}
      {mayDo(role, 'audit:read') && <AuditTrail search={search} onChange={change} />}
    </>
  );
}

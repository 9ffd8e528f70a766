import { mayDo } from '@syncline/contract';
import { useSession } from '../../api/session.js';
import { PageHead } from '../../parts/page-head.js';
import { AuditTrail } from './audit-trail.js';
import { ClubTokens } from './club-tokens.js';
import { InviteForm } from './invite-form.js';
import { PeopleList } from './people-list.js';

/** Who belongs to the club, how more come in, and what was changed by whom. */
export function PeoplePage() {
  const { role } = useSession().person;
  return (
    <>
      <PageHead
        title="People"
        lead="Members of the club and their roles. New members come in by a link that works once."
      />
      {mayDo(role, 'people:write') && <InviteForm />}
      <PeopleList />
      {mayDo(role, 'people:write') && <ClubTokens />}
      {mayDo(role, 'audit:read') && <AuditTrail />}
    </>
  );
}

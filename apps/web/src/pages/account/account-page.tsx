import { useSession } from '../../api/session.js';
import { ROLE_WORDS } from '../../format/words.js';
import { Instant } from '../../parts/instant.js';
import { PageHead } from '../../parts/page-head.js';
import classes from './account.module.css';
import { TokensSection } from './tokens-section.js';

/** Who one is here, and the programs that act for one. */
export function AccountPage() {
  const { person, clubName } = useSession();
  return (
    <>
      <PageHead title="Account" lead={`Who you are in ${clubName}, and what programs may do for you.`} />
      <dl className={classes.facts}>
        <dt>Name</dt>
        <dd>{person.name}</dd>
        <dt>E-mail address</dt>
        <dd>{person.email}</dd>
        <dt>Role</dt>
        <dd>{ROLE_WORDS[person.role]}</dd>
        <dt>Member since</dt>
        <dd>
          <Instant at={person.createdAt} precision="day" />
        </dd>
      </dl>
      <TokensSection />
    </>
  );
}

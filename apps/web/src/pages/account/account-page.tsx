import { useSession } from '../../api/session.js';
import { ROLE_WORDS } from '../../format/words.js';
import { Instant } from '../../parts/instant.js';
import { PageHead } from '../../parts/page-head.js';
import classes from './account.module.css';
import { EraseSection } from './erase-section.js';
import { PasswordSection } from './password-section.js';
import { SecondFactorSection } from './second-factor-section.js';
import { SessionsSection } from './sessions-section.js';
import { TokensSection } from './tokens-section.js';

/** Who one is here, how one comes in, and the programs that act for one. */
export function AccountPage() {
  const { person, clubName } = useSession();
  return (
    <>
      <PageHead
        title="Account"
        lead={`Who you are in ${clubName}, how you come in, and what programs may do for you.`}
      />
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
        <dt>Terms</dt>
        <dd>
          version {person.consentVersion}, agreed to <Instant at={person.consentAt} />
        </dd>
      </dl>
      <SessionsSection />
      <PasswordSection />
      <SecondFactorSection />
      <TokensSection />
      {(person.role === 'tester' || person.role === 'reader') && <EraseSection />}
    </>
  );
}

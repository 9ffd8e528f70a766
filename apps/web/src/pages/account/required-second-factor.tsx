import { PageHead } from '../../parts/page-head.js';
import { SecondFactorSection } from './second-factor-section.js';

/** What stands in place of every page until a maintainer has the second factor that the club asks for. */
export function RequiredSecondFactor() {
  return (
    <>
      <PageHead
        title="A second factor is needed"
        lead="Maintainers of this club sign in with a code of an authenticator app as well. Everything else opens once you have added one."
      />
      <SecondFactorSection />
    </>
  );
}

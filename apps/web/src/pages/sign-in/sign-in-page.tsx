import { useQuery } from '@tanstack/react-query';
import { Navigate, useRouter, useSearch } from '@tanstack/react-router';
import { sessionQueries } from '../../api/session.js';
import { PageHead } from '../../parts/page-head.js';
import { PublicFrame } from '../../shell/public-frame.js';
import { PasswordForm } from './password-form.js';
import { ProviderCodeForm } from './provider-code-form.js';
import { ProviderFailure } from './provider-failure.js';
import { ProviderSignIn } from './provider-sign-in.js';

/** Sign-in; afterwards the page that was asked for opens. */
export function SignInPage() {
  const router = useRouter();
  const { to, step, problem } = useSearch({ from: '/sign-in' });
  const setup = useQuery(sessionQueries.setup());
  const goOn = () => router.history.push(to ?? router.buildLocation({ to: '/' }).href);
  if (setup.data?.isNeeded) return <Navigate to="/setup" replace />;
  return (
    <PublicFrame>
      <PageHead title="Sign in" lead="Evidence on gear shifts across a fleet of test cars." />
      {step === 'code' ? (
        <ProviderCodeForm onEntered={goOn} />
      ) : (
        <>
          <ProviderFailure code={problem} />
          <PasswordForm onEntered={goOn} />
          <ProviderSignIn to={to} />
        </>
      )}
    </PublicFrame>
  );
}

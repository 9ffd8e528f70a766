import { Button, Stack } from '@mantine/core';
import { consentRequest, TERMS_VERSION } from '@syncline/contract';
import { useConsent } from '../../api/account.js';
import { PageHead } from '../../parts/page-head.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { TermsField } from '../../parts/terms-field.js';
import { useForm } from '../../parts/use-form.js';

/** What stands in place of every page until a member has agreed to the terms in force. */
export function ConsentPage() {
  const consent = useConsent();
  const form = useForm({
    initial: { hasConsented: false, termsVersion: TERMS_VERSION },
    schema: consentRequest,
    error: consent.error,
    onSubmit: (request) => consent.mutate(request),
  });
  return (
    <>
      <PageHead
        title="The terms have changed"
        lead={`Version ${TERMS_VERSION}. Your drives and cars are as they were; the pages open once you have agreed.`}
      />
      <form onSubmit={form.submit} noValidate>
        <Stack gap="sm">
          <TermsField
            isAgreed={form.values.hasConsented}
            fault={form.choice('hasConsented').error}
            onChange={(isAgreed) => form.set('hasConsented', isAgreed)}
          />
          {consent.error !== null && <ProblemNotice error={consent.error} />}
          <div>
            <Button type="submit" loading={consent.isPending}>
              Go on
            </Button>
          </div>
        </Stack>
      </form>
    </>
  );
}

import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { applicationQueries } from '../../api/applications.js';
import { DrivingCaution } from '../../parts/caution.js';
import { EmptyState } from '../../parts/empty-state.js';
import { PageHead } from '../../parts/page-head.js';
import { QueryView } from '../../parts/query-view.js';
import { PublicFrame } from '../../shell/public-frame.js';
import { ApplyForm } from './apply-form.js';

/** Where people outside the club offer a car. */
export function ApplyPage() {
  const form = useQuery(applicationQueries.form());
  const [isSent, setSent] = useState(false);
  const { data } = form;
  return (
    <PublicFrame>
      <PageHead
        title={data?.isOpen ? `Test for ${data.clubName}` : 'Become a tester'}
        lead={data?.isOpen ? data.callText : undefined}
        cautions={<DrivingCaution />}
      />
      <QueryView query={form}>
        {(found) => {
          if (isSent) return <Thanks />;
          return found.isOpen ? <ApplyForm form={found} onSent={() => setSent(true)} /> : <Closed />;
        }}
      </QueryView>
    </PublicFrame>
  );
}

function Thanks() {
  return (
    <div role="status">
      <EmptyState title="Thank you, it has arrived">
        A maintainer reads it and writes to you by e-mail. Nothing goes into your car before you have agreed to it
        again. To have what you sent deleted, answer that mail or write to the club.
      </EmptyState>
    </div>
  );
}

function Closed() {
  return (
    <EmptyState title="No applications are taken now">
      Come back later, or ask whoever gave you this address.
    </EmptyState>
  );
}

import { Button } from '@mantine/core';
import { useDisclosure } from '@mantine/hooks';
import { type CalibrationResponse, mayDo } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useParams } from '@tanstack/react-router';
import { calibrationQueries } from '../../api/calibrations.js';
import { useSession } from '../../api/session.js';
import { counted } from '../../format/quantity.js';
import { EmptyState } from '../../parts/empty-state.js';
import { PageHead } from '../../parts/page-head.js';
import { QueryView } from '../../parts/query-view.js';
import { TextLink } from '../../parts/text-link.js';
import { HistorySection } from './history-section.js';
import { InstallationsSection } from './installations-section.js';
import { NewRevision } from './new-revision.js';

/** One calibration: the history of its revisions with what each did on the road, and who runs which. */
export function CalibrationPage() {
  const { calibrationId } = useParams({ from: '/house/calibrations/$calibrationId' });
  const query = useQuery(calibrationQueries.one(calibrationId));
  const { role } = useSession().person;
  const mayWrite = mayDo(role, 'calibration:write');
  const [isOpen, form] = useDisclosure(false);
  const newRevision = mayWrite && <Button onClick={form.open}>New revision</Button>;
  return (
    <>
      <PageHead
        title={query.data?.title ?? 'Calibration'}
        crumbs={<TextLink to="/calibrations">Calibrations</TextLink>}
        lead={query.data && <CalibrationFacts calibration={query.data} />}
        actions={query.data && newRevision}
      />
      <QueryView query={query}>
        {(calibration) =>
          calibration.revisions.length === 0 ? (
            <EmptyState title="No revision yet" action={newRevision}>
              The first revision is made from a file with the content of all tables: what “Content as JSON” of another
              revision gives, or what a script writes.
            </EmptyState>
          ) : (
            <>
              <HistorySection calibration={calibration} />
              <InstallationsSection calibration={calibration} />
            </>
          )
        }
      </QueryView>
      {mayWrite && query.data && <NewRevision calibration={query.data} isOpen={isOpen} onClose={form.close} />}
    </>
  );
}

function CalibrationFacts({ calibration }: { readonly calibration: CalibrationResponse }) {
  const { platformTitle, revisionCount, vehicleCount, note } = calibration;
  return (
    <>
      For {platformTitle} · {counted(revisionCount, 'revision')} ·{' '}
      {counted(vehicleCount, 'car runs one of them', 'cars run one of them')}
      {note !== '' && <div>{note}</div>}
    </>
  );
}

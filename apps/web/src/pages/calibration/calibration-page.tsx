import { Button } from '@mantine/core';
import { useDisclosure } from '@mantine/hooks';
import { type CalibrationResponse, mayDo } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useParams } from '@tanstack/react-router';
import { useState } from 'react';
import { calibrationQueries } from '../../api/calibrations.js';
import { useSession } from '../../api/session.js';
import { counted } from '../../format/quantity.js';
import { EmptyState } from '../../parts/empty-state.js';
import { PageHead } from '../../parts/page-head.js';
import { QueryView } from '../../parts/query-view.js';
import { ButtonLink, TextLink } from '../../parts/text-link.js';
import { useOncePainted } from '../../parts/use-once-painted.js';
import { ProposalsSection } from '../proposals/proposals-section.js';
import { BeginDialog } from './begin-dialog.js';
import type { Beginning } from './begin-menu.js';
import { DiscardedNotice } from './discarded-notice.js';
import { DraftsSection } from './drafts-section.js';
import { HistorySection } from './history-section.js';
import { ImportDialog } from './import-dialog.js';
import { InstallationsSection } from './installations-section.js';
import { headOf, linesOf, suggestedMerge } from './lines.js';

/** One calibration: its drafts, the history of its revisions with what each did on the road, and who runs which. */
export function CalibrationPage() {
  const { calibrationId } = useParams({ from: '/house/calibrations/$calibrationId' });
  const query = useQuery(calibrationQueries.one(calibrationId));
  const { role } = useSession().person;
  const mayWrite = mayDo(role, 'calibration:write');
  // What is under way is drawn first; what was made before comes after it.
  const isRestDue = useOncePainted(!query.isPending);
  const [beginning, setBeginning] = useState<Beginning | 'new' | null>(null);
  const [isImporting, imports] = useDisclosure(false);
  const actions = mayWrite && query.data && (
    <Actions calibration={query.data} onNew={() => setBeginning('new')} onImport={imports.open} />
  );
  return (
    <>
      <PageHead
        title={query.data?.title ?? 'Calibration'}
        crumbs={<TextLink to="/calibrations">Calibrations</TextLink>}
        lead={query.data && <CalibrationFacts calibration={query.data} />}
        actions={actions}
      />
      <QueryView query={query}>
        {(calibration) => (
          <>
            <DiscardedNotice />
            <DraftsSection calibrationId={calibration.id} />
            {calibration.revisions.length === 0 ? (
              <EmptyState title="No revision yet" action={actions}>
                The first revision is made from a draft: begun with the defaults of the layout, or imported from a file.
              </EmptyState>
            ) : (
              <>
                <ProposalsSection calibration={calibration} />
                {isRestDue && (
                  <>
                    <HistorySection calibration={calibration} onBegin={mayWrite ? setBeginning : undefined} />
                    <InstallationsSection calibration={calibration} />
                  </>
                )}
              </>
            )}
          </>
        )}
      </QueryView>
      {mayWrite && query.data && (
        <>
          <BeginDialog calibration={query.data} beginning={beginning} onClose={() => setBeginning(null)} />
          <ImportDialog
            calibrationId={query.data.id}
            platformId={query.data.platformId}
            parentId={newestId(query.data)}
            isOpen={isImporting}
            onClose={imports.close}
          />
        </>
      )}
    </>
  );
}

function newestId(calibration: CalibrationResponse): string | undefined {
  const [line] = linesOf(calibration);
  return line === undefined ? undefined : headOf(calibration, line)?.id;
}

interface ActionsProps {
  readonly calibration: CalibrationResponse;
  readonly onNew: () => void;
  readonly onImport: () => void;
}

function Actions({ calibration, onNew, onImport }: ActionsProps) {
  const merge = suggestedMerge(calibration);
  return (
    <>
      {merge !== undefined && (
        <ButtonLink
          variant="default"
          to="/calibrations/$calibrationId/merge"
          params={{ calibrationId: calibration.id }}
          search={merge}
        >
          Merge lines
        </ButtonLink>
      )}
      <Button variant="default" onClick={onImport}>
        Import a file
      </Button>
      <Button onClick={onNew}>New draft</Button>
    </>
  );
}

function CalibrationFacts({ calibration }: { readonly calibration: CalibrationResponse }) {
  const { platformTitle, revisionCount, vehicleCount, note } = calibration;
  const lines = linesOf(calibration);
  return (
    <>
      For {platformTitle} · {counted(revisionCount, 'revision')}
      {lines.length > 1 && ` on ${lines.length} lines`} ·{' '}
      {counted(vehicleCount, 'car runs one of them', 'cars run one of them')}
      {note !== '' && <div>{note}</div>}
    </>
  );
}

import { Button } from '@mantine/core';
import type { LogResponse } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useParams } from '@tanstack/react-router';
import { logDownloads, logQueries } from '../../api/logs.js';
import { counted, formatBytes } from '../../format/quantity.js';
import { formatDuration } from '../../format/time.js';
import { GradeTally } from '../../parts/grade-tally.js';
import { Instant } from '../../parts/instant.js';
import { LogProgress } from '../../parts/log-progress.js';
import { PageHead } from '../../parts/page-head.js';
import { QueryView } from '../../parts/query-view.js';
import { RevisionLink } from '../../parts/revision-link.js';
import { ButtonLink, TextLink } from '../../parts/text-link.js';
import { LogOutcome } from '../logs/log-outcome.js';
import { CaptureSection } from './capture-section.js';
import { DriveEvidence } from './drive-evidence.js';
import { EarlierResultNotice } from './earlier-result-notice.js';
import { FindingsSection } from './findings-section.js';
import classes from './log.module.css';

/** One drive: its whole course with the shifts marked, one shift in detail, lock-up, findings and notes. */
export function LogPage() {
  const { logId } = useParams({ from: '/house/logs/$logId' });
  const log = useQuery(logQueries.one(logId));
  return <QueryView query={log}>{(found) => <LogView log={found} />}</QueryView>;
}

function LogView({ log }: { readonly log: LogResponse }) {
  const hasResult = log.state === 'ready' || log.showsEarlier;
  return (
    <>
      <PageHead
        title={log.fileName}
        crumbs={
          <>
            <TextLink to="/logs">Logs</TextLink> ›{' '}
            <TextLink to="/vehicles/$vehicleId" params={{ vehicleId: log.vehicleId }}>
              {log.vehicleTitle}
            </TextLink>
          </>
        }
        lead={<LogFacts log={log} />}
        actions={
          <>
            {hasResult && (
              <ButtonLink variant="default" size="xs" to="/logs/$logId/report" params={{ logId: log.id }}>
                Report
              </ButtonLink>
            )}
            {log.originalRemovedAt === null && (
              <Button component="a" variant="default" size="xs" href={logDownloads.original(log.id)} download>
                Original file, {formatBytes(log.sizeBytes)}
              </Button>
            )}
          </>
        }
      />
      {log.originalRemovedAt !== null && (
        <p role="note" className={classes.removed}>
          Original file removed on <Instant at={log.originalRemovedAt} precision="day" />: its time was over, or its
          person had her data removed. What was found in it stays and can be graded; it cannot be downloaded or analysed
          anew.
        </p>
      )}
      <EarlierResultNotice log={log} />
      {log.state !== 'ready' && <LogUnderWay log={log} />}
      {hasResult && <DriveEvidence log={log} />}
      {log.capture !== null && <CaptureSection log={log} check={log.capture} />}
      {log.sampleFindings !== null && <FindingsSection log={log} />}
    </>
  );
}

function LogFacts({ log }: { readonly log: LogResponse }) {
  return (
    <>
      Driven <Instant at={log.drivenAt} /> by {log.ownerName}
      {log.durationS !== null && <> · {formatDuration(log.durationS)}</>}
      {' · '}
      {log.revisionId === null ? (
        'revision not known'
      ) : (
        <RevisionLink revisionId={log.revisionId} label={log.revisionLabel} />
      )}
      {log.stated !== null && <> ({statementWords(log.stated)})</>}
      {(log.state === 'ready' || log.showsEarlier) && (
        <>
          {' · '}
          {counted(log.shiftCount, 'shift')}: <GradeTally grades={log.grades} />
        </>
      )}
    </>
  );
}

/** What the file says that the control unit ran: it is believed where the club knows it. */
function statementWords({ text, revisionId }: NonNullable<LogResponse['stated']>): string {
  if (revisionId !== null) return `as the file itself says: “${text}”`;
  return `the file says “${text}”, which is the hash or name of no revision here`;
}

/** A log that has no shifts to show yet, or never will: its state, how far it is, and what to do. */
function LogUnderWay({ log }: { readonly log: LogResponse }) {
  return (
    <div style={{ display: 'grid', gap: 10, maxWidth: 560, padding: '24px 0' }} aria-live="polite">
      <LogProgress log={log} />
      <LogOutcome log={log} />
    </div>
  );
}

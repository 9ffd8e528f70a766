import { Button } from '@mantine/core';
import type { ReportResponse } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useParams } from '@tanstack/react-router';
import { logQueries } from '../../api/logs.js';
import { counted, formatCount } from '../../format/quantity.js';
import { formatDuration } from '../../format/time.js';
import { DrivingCaution } from '../../parts/caution.js';
import { GradeTally } from '../../parts/grade-tally.js';
import { Instant } from '../../parts/instant.js';
import { PageHead } from '../../parts/page-head.js';
import { QueryView } from '../../parts/query-view.js';
import { TextLink } from '../../parts/text-link.js';
import { EarlierResultNotice } from '../log/earlier-result-notice.js';
import { ComparisonSection } from './comparison-section.js';
import { DoubtsSection } from './doubts-section.js';
import { KindsSection } from './kinds-section.js';
import { LockUpReport } from './lock-up-report.js';
import { MomentsSection } from './moments-section.js';
import classes from './report.module.css';
import { WishesSection } from './wishes-section.js';
import { WorstSection } from './worst-section.js';

/** What one drive was, for the one who drove it: on a phone after the drive, or on paper. */
export function ReportPage() {
  const { logId } = useParams({ from: '/house/logs/$logId/report' });
  const report = useQuery(logQueries.report(logId));
  return <QueryView query={report}>{(found) => <Report report={found} />}</QueryView>;
}

function Report({ report }: { readonly report: ReportResponse }) {
  const { log, total } = report;
  return (
    <div className={classes.report}>
      <PageHead
        title={`Report of ${log.fileName}`}
        crumbs={
          <span className="only-screen">
            <TextLink to="/logs">Drives</TextLink> ›{' '}
            <TextLink to="/logs/$logId" params={{ logId: log.id }}>
              {log.fileName}
            </TextLink>
          </span>
        }
        actions={
          <Button className="only-screen" variant="default" size="xs" onClick={() => window.print()}>
            Print
          </Button>
        }
      />
      <EarlierResultNotice log={log} />
      <dl className={classes.facts} aria-label="What was driven">
        <Fact word="Driven">
          <Instant at={log.drivenAt} /> by {log.ownerName}
        </Fact>
        <Fact word="Length">{formatDuration(log.durationS)}</Fact>
        <Fact word="Car">
          <TextLink to="/vehicles/$vehicleId" params={{ vehicleId: log.vehicleId }}>
            {log.vehicleTitle}
          </TextLink>
          , {log.platformTitle}
        </Fact>
        <Fact word="Revision">{log.revisionLabel ?? 'not known'}</Fact>
        <Fact word="Shifts">
          {counted(total.shifts, 'shift')}: <GradeTally grades={total.grades} />
        </Fact>
      </dl>
      <KindsSection report={report} />
      <WorstSection report={report} />
      <LockUpReport report={report} />
      <MomentsSection report={report} />
      <DoubtsSection report={report} />
      <ComparisonSection comparisons={report.comparisons} />
      <WishesSection wishes={report.wishes} />
      <DrivingCaution />
      <p className={classes.source}>
        From file {log.sha256.slice(0, 12)} (SHA-256), analysis version {formatCount(log.analysisVersion)}, grading
        policy {formatCount(log.policyVersion)}.
      </p>
    </div>
  );
}

function Fact({ word, children }: { readonly word: string; readonly children: React.ReactNode }) {
  return (
    <div>
      <dt>{word}</dt>
      <dd>{children}</dd>
    </div>
  );
}

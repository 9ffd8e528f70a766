import { Button, Text } from '@mantine/core';
import { type LogSummary, mayDo } from '@syncline/contract';
import { useAnalyseAgain } from '../../api/logs.js';
import { useSession } from '../../api/session.js';
import { counted } from '../../format/quantity.js';
import { sentence } from '../../format/words.js';
import { GradeTally } from '../../parts/grade-tally.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { TextLink } from '../../parts/text-link.js';

/** What came of a log: its shifts by grade, what it waits for, or what was wrong and what to do. */
export function LogOutcome({ log }: { readonly log: LogSummary }) {
  switch (log.state) {
    case 'ready':
      return (
        <span style={{ display: 'inline-flex', flexWrap: 'wrap', gap: '0 14px' }}>
          <TextLink to="/logs/$logId" params={{ logId: log.id }}>
            {counted(log.shiftCount, 'shift')}
          </TextLink>
          <GradeTally grades={log.grades} />
          <TextLink to="/logs/$logId/report" params={{ logId: log.id }} aria-label={`Report of ${log.fileName}`}>
            Report
          </TextLink>
        </span>
      );
    case 'awaitingMap':
      if (log.problem?.code === 'busSignals.missing') {
        return (
          <Text size="sm" component="span">
            {log.problem.detail} {log.problem.remedy}
          </Text>
        );
      }
      return (
        <TextLink to="/logs/upload" search={{ vehicle: log.vehicleId, log: log.id }}>
          Say which column is which
        </TextLink>
      );
    case 'refused':
    case 'failed':
      return <Trouble log={log} />;
    default:
      return null;
  }
}

function Trouble({ log }: { readonly log: LogSummary }) {
  const { role } = useSession().person;
  const again = useAnalyseAgain(log.id);
  return (
    <span style={{ display: 'grid', gap: 4, maxWidth: '60ch', justifyItems: 'start' }}>
      <Text size="sm" component="span">
        {log.problem === null ? 'No reason was recorded.' : `${sentence(log.problem.detail)} ${log.problem.remedy}`}
      </Text>
      {log.showsEarlier && (
        <Text size="sm" component="span">
          The{' '}
          <TextLink to="/logs/$logId" params={{ logId: log.id }}>
            {counted(log.shiftCount, 'shift')}
          </TextLink>{' '}
          of the analysis before are kept and still count.
        </Text>
      )}
      {mayDo(role, 'log:reanalyse') && (
        <Button size="compact-xs" variant="default" loading={again.isPending} onClick={() => again.mutate()}>
          Read it again
        </Button>
      )}
      {again.error !== null && <ProblemNotice error={again.error} />}
    </span>
  );
}

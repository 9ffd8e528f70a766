import { Progress } from '@mantine/core';
import type { LogSummary } from '@syncline/contract';
import { isInWork } from '../api/logs.js';
import { formatShare } from '../format/rate.js';
import { LogStateMark } from './state-mark.js';

/** State of a log; while the server works on it, how far it has come. */
export function LogProgress({ log }: { readonly log: Pick<LogSummary, 'state' | 'progress'> }) {
  return (
    <span style={{ display: 'grid', gap: 2, minWidth: 110, maxWidth: 240 }}>
      <LogStateMark state={log.state} />
      {isInWork(log.state) && log.state !== 'waiting' && (
        <Progress
          size="xs"
          value={100 * log.progress}
          aria-label={`Work on this log: ${formatShare(log.progress)} done`}
        />
      )}
    </span>
  );
}

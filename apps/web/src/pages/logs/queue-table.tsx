import { Button, Group, Progress, Text } from '@mantine/core';
import { useQuery } from '@tanstack/react-query';
import { logQueries } from '../../api/logs.js';
import { type QueuedUpload, type SendStage, uploadQueue } from '../../api/upload-queue.js';
import { formatBytes } from '../../format/quantity.js';
import { formatDuration } from '../../format/time.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { LogProgress } from '../../parts/log-progress.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { TextLink } from '../../parts/text-link.js';
import { LogOutcome } from './log-outcome.js';
import classes from './upload.module.css';

/** Before this the rate of sending says nothing yet. */
const SETTLING_MS = 2000;

const COLUMNS: readonly DataColumn<QueuedUpload>[] = [
  { id: 'file', title: 'File', render: ({ upload }) => upload.file.name },
  { id: 'size', title: 'Size', isNumber: true, render: ({ upload }) => formatBytes(upload.file.size) },
  { id: 'stage', title: 'Stage', render: (entry) => <Stage entry={entry} /> },
];

/** Each file with its stage: sending, waiting, decoding, analysing, ready. */
export function QueueTable({ queue }: { readonly queue: readonly QueuedUpload[] }) {
  return <DataTable label="This upload" columns={COLUMNS} rows={queue} rowId={({ key }) => String(key)} />;
}

function Stage({ entry }: { readonly entry: QueuedUpload }) {
  const { key, upload, stage } = entry;
  switch (stage.kind) {
    case 'queued':
      return (
        <Group gap="xs">
          <Text size="sm">Next in line</Text>
          <Button size="compact-xs" variant="subtle" onClick={() => uploadQueue.remove(key)}>
            Leave out
          </Button>
        </Group>
      );
    case 'sending':
      return <Sending stage={stage} sizeBytes={upload.file.size} />;
    case 'sent':
      return <OnServer logId={stage.logId} isDuplicate={stage.isDuplicate} />;
    case 'failed':
      return (
        <div className={classes.trouble}>
          <ProblemNotice error={stage.error} onRetry={() => uploadQueue.retry(key)} />
          <Button size="compact-xs" variant="subtle" mt={4} onClick={() => uploadQueue.remove(key)}>
            Take off this list
          </Button>
        </div>
      );
    default:
      return stage satisfies never;
  }
}

interface SendingProps {
  readonly stage: Extract<SendStage, { kind: 'sending' }>;
  readonly sizeBytes: number;
}

function Sending({ stage: { sentBytes, elapsedMs }, sizeBytes }: SendingProps) {
  const restS = sentBytes > 0 ? ((elapsedMs / 1000) * (sizeBytes - sentBytes)) / sentBytes : null;
  return (
    <div className={classes.stage}>
      <span>
        Sending {formatBytes(sentBytes)} of {formatBytes(sizeBytes)}
        {restS !== null && elapsedMs > SETTLING_MS && `, about ${formatDuration(Math.ceil(restS))} left`}
      </span>
      <Progress size="sm" value={sizeBytes === 0 ? 0 : (100 * sentBytes) / sizeBytes} aria-label="Sent" />
    </div>
  );
}

function OnServer({ logId, isDuplicate }: { readonly logId: string; readonly isDuplicate: boolean }) {
  const { data: log, error, refetch } = useQuery(logQueries.one(logId));
  if (log === undefined) {
    return error === null ? 'Sent' : <ProblemNotice error={error} onRetry={() => void refetch()} />;
  }
  return (
    <div className={classes.stage}>
      {isDuplicate && (
        <Text size="sm" c="dimmed">
          These bytes were here already, so they count once:{' '}
          <TextLink to="/logs/$logId" params={{ logId }}>
            {log.fileName}
          </TextLink>
        </Text>
      )}
      <LogProgress log={log} />
      <LogOutcome log={log} />
    </div>
  );
}

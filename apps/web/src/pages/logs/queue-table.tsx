import { Button, Group, Progress, Text } from '@mantine/core';
import { useQuery } from '@tanstack/react-query';
import { logQueries } from '../../api/logs.js';
import { UnreadableFile } from '../../api/upload-hash.js';
import { isUnsent, type QueuedUpload, type SendStage, uploadQueue } from '../../api/upload-queue.js';
import { formatBytes } from '../../format/quantity.js';
import { formatDuration } from '../../format/time.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { LogProgress } from '../../parts/log-progress.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { TextLink } from '../../parts/text-link.js';
import { LogOutcome } from './log-outcome.js';
import classes from './upload.module.css';

const COLUMNS: readonly DataColumn<QueuedUpload>[] = [
  { id: 'file', title: 'File', render: ({ upload }) => <span className={classes.name}>{upload.file.name}</span> },
  { id: 'size', title: 'Size', isNumber: true, render: ({ upload }) => formatBytes(upload.file.size) },
  { id: 'stage', title: 'Stage', render: (entry) => <Stage entry={entry} /> },
  { id: 'actions', title: 'Pause', render: (entry) => <PauseButton entry={entry} /> },
];

/** Each file with its stage: reading, sending, waiting, decoding, analysing, ready. */
export function QueueTable({ queue }: { readonly queue: readonly QueuedUpload[] }) {
  return <DataTable label="This upload" columns={COLUMNS} rows={queue} rowId={({ key }) => String(key)} />;
}

/** Holds every file, or goes on with every one that is held. */
export function QueueActions({ queue }: { readonly queue: readonly QueuedUpload[] }) {
  const isAnyMoving = queue.some((entry) => isUnsent(entry) && entry.stage.kind !== 'paused');
  const isAnyPaused = queue.some(({ stage }) => stage.kind === 'paused');
  return (
    <>
      {isAnyMoving && (
        <Button size="compact-sm" variant="default" onClick={() => uploadQueue.pauseAll()}>
          Pause all
        </Button>
      )}
      {isAnyPaused && (
        <Button size="compact-sm" variant="default" onClick={() => uploadQueue.resumeAll()}>
          Go on with all
        </Button>
      )}
    </>
  );
}

function PauseButton({ entry }: { readonly entry: QueuedUpload }) {
  const { key, upload, stage } = entry;
  if (!isUnsent(entry)) return null;
  const isPaused = stage.kind === 'paused';
  return (
    <Group gap="xs" wrap="nowrap">
      <Button
        size="compact-xs"
        variant="default"
        aria-label={`${isPaused ? 'Go on with' : 'Pause'} ${upload.file.name}`}
        onClick={() => (isPaused ? uploadQueue.resume(key) : uploadQueue.pause(key))}
      >
        {isPaused ? 'Go on' : 'Pause'}
      </Button>
      <Button
        size="compact-xs"
        variant="subtle"
        aria-label={`Leave out ${upload.file.name}`}
        onClick={() => uploadQueue.remove(key)}
      >
        Leave out
      </Button>
    </Group>
  );
}

function Stage({ entry }: { readonly entry: QueuedUpload }) {
  const { key, upload, stage } = entry;
  const sizeBytes = upload.file.size;
  switch (stage.kind) {
    case 'queued':
      return 'Next in line';
    case 'reading':
      return (
        <WithBar bytes={stage.readBytes} sizeBytes={sizeBytes} label="Read">
          Reading, to see whether it is there already: {formatBytes(stage.readBytes)} of {formatBytes(sizeBytes)}
        </WithBar>
      );
    case 'sending':
      return <Sending stage={stage} sizeBytes={sizeBytes} />;
    case 'lost':
      return (
        <WithBar bytes={stage.sentBytes} sizeBytes={sizeBytes} label="Sent">
          <span role="status">The connection is lost. It goes on by itself as soon as it can.</span>
        </WithBar>
      );
    case 'paused':
      return (
        <WithBar bytes={stage.sentBytes} sizeBytes={sizeBytes} label="Sent">
          Paused after {formatBytes(stage.sentBytes)} of {formatBytes(sizeBytes)}
        </WithBar>
      );
    case 'sent':
      return <OnServer stage={stage} />;
    case 'failed':
      return (
        <div className={classes.trouble}>
          <Failure error={stage.error} onRetry={() => uploadQueue.resume(key)} />
          <Button size="compact-xs" variant="subtle" mt={4} onClick={() => uploadQueue.remove(key)}>
            Take off this list
          </Button>
        </div>
      );
    default:
      return stage satisfies never;
  }
}

function Failure({ error, onRetry }: { readonly error: unknown; readonly onRetry: () => void }) {
  if (!(error instanceof UnreadableFile)) return <ProblemNotice error={error} onRetry={onRetry} />;
  return (
    <Text size="sm" role="alert">
      This file can no longer be read: it was changed or moved, or its medium was taken out. Choose it again; what has
      arrived is kept.
    </Text>
  );
}

interface WithBarProps {
  readonly bytes: number;
  readonly sizeBytes: number;
  /** What the bar measures, for those who hear it. */
  readonly label: string;
  readonly children: React.ReactNode;
}

function WithBar({ bytes, sizeBytes, label, children }: WithBarProps) {
  return (
    <div className={classes.stage}>
      <span>{children}</span>
      <Progress size="sm" value={sizeBytes === 0 ? 0 : (100 * bytes) / sizeBytes} aria-label={label} />
    </div>
  );
}

interface SendingProps {
  readonly stage: Extract<SendStage, { kind: 'sending' }>;
  readonly sizeBytes: number;
}

function Sending({ stage: { sentBytes, bytesPerS }, sizeBytes }: SendingProps) {
  const restS = bytesPerS !== null && bytesPerS > 0 ? (sizeBytes - sentBytes) / bytesPerS : null;
  return (
    <WithBar bytes={sentBytes} sizeBytes={sizeBytes} label="Sent">
      {sentBytes === sizeBytes
        ? 'Sent; the server checks the file'
        : `Sending ${formatBytes(sentBytes)} of ${formatBytes(sizeBytes)}`}
      {restS !== null && sentBytes < sizeBytes && `, about ${formatDuration(Math.ceil(restS))} left`}
    </WithBar>
  );
}

function OnServer({ stage: { logId, isDuplicate, twin } }: { readonly stage: Extract<SendStage, { kind: 'sent' }> }) {
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
      {twin !== null && (
        <Text size="sm">
          The same recording is here a second time, packed otherwise, and both count:{' '}
          <TextLink to="/logs/$logId" params={{ logId: twin.id }}>
            {twin.fileName}
          </TextLink>
        </Text>
      )}
      <LogProgress log={log} />
      <LogOutcome log={log} />
    </div>
  );
}

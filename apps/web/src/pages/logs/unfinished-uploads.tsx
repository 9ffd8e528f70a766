import { Button, FileButton, Group, Text } from '@mantine/core';
import type { Upload } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { hashHead } from '../../api/upload-hash.js';
import { differences } from '../../api/upload-match.js';
import { uploadQueries, useDiscardUpload } from '../../api/upload-queries.js';
import { type QueuedUpload, uploadQueue } from '../../api/upload-queue.js';
import { formatBytes } from '../../format/quantity.js';
import { sentence } from '../../format/words.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { Instant } from '../../parts/instant.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { Section } from '../../parts/section.js';
import classes from './upload.module.css';

const COLUMNS: readonly DataColumn<Upload>[] = [
  { id: 'file', title: 'File', render: (upload) => <span className={classes.name}>{upload.fileName}</span> },
  { id: 'car', title: 'Car', render: (upload) => upload.vehicleTitle, distinct: (upload) => upload.vehicleId },
  {
    id: 'received',
    title: 'On the server',
    render: ({ receivedBytes, sizeBytes, problem }) =>
      problem === null
        ? `${formatBytes(receivedBytes)} of ${formatBytes(sizeBytes)}`
        : `Refused. ${sentence(problem.detail)} ${problem.remedy}`,
  },
  { id: 'kept', title: 'Kept until', render: (upload) => <Instant at={upload.expiresAt} /> },
  { id: 'next', title: 'What next', render: (upload) => <NextStep upload={upload} /> },
];

/** Uploads that an ended page, another browser or a program began and did not end; a file chosen again goes on. */
export function UnfinishedUploads({ queue }: { readonly queue: readonly QueuedUpload[] }) {
  const { data } = useQuery(uploadQueries.list(undefined));
  const ours = new Set(queue.map(({ uploadId }) => uploadId));
  const unfinished = (data?.items ?? []).filter(({ id, state }) => state !== 'done' && !ours.has(id));
  if (unfinished.length === 0) return null;
  return (
    <Section
      title="Unfinished uploads"
      note="The server keeps what has arrived. Choose the same file again and it goes on from there."
    >
      <DataTable label="Unfinished uploads" columns={COLUMNS} rows={unfinished} rowId={({ id }) => id} />
    </Section>
  );
}

function NextStep({ upload }: { readonly upload: Upload }) {
  const discard = useDiscardUpload();
  const [faults, setFaults] = useState<readonly string[]>([]);
  const goOn = async (file: File | null) => {
    if (file === null) return;
    const found = differences({ name: file.name, size: file.size, head: await hashHead(file) }, upload);
    setFaults(found);
    if (found.length > 0) return;
    const drivenAt = upload.drivenAt ?? new Date(file.lastModified).toISOString();
    uploadQueue.add([{ file, vehicleId: upload.vehicleId, drivenAt, goesOnWith: upload }]);
  };
  return (
    <>
      <Group gap="xs">
        {upload.state === 'receiving' && (
          <FileButton onChange={(file) => void goOn(file)}>
            {(props) => (
              <Button
                {...props}
                size="compact-xs"
                variant="default"
                aria-label={`Choose the file again to go on with ${upload.fileName}`}
              >
                Choose the file again to go on
              </Button>
            )}
          </FileButton>
        )}
        <Button
          size="compact-xs"
          variant="subtle"
          loading={discard.isPending}
          aria-label={`Discard ${upload.fileName}`}
          onClick={() => discard.mutate(upload.id)}
        >
          Discard
        </Button>
      </Group>
      {faults.length > 0 && (
        <Text size="sm" mt={4} role="alert" className={classes.trouble ?? ''}>
          This is another file: {faults.join('; ')}.
        </Text>
      )}
      {discard.error !== null && <ProblemNotice error={discard.error} />}
    </>
  );
}

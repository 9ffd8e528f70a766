import { Button, Group, Text } from '@mantine/core';
import { Dropzone } from '@mantine/dropzone';
import '@mantine/dropzone/styles.css';
import type { Upload } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { uploadQueries } from '../../api/upload-queries.js';
import { uploadQueue } from '../../api/upload-queue.js';
import { fromLocalInput } from '../../format/local-time.js';
import { counted, formatBytes } from '../../format/quantity.js';
import { zoneName } from '../../format/time.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { type ChosenFile, roomFault, toChosen, unfinishedOf } from './chosen-file.js';
import classes from './upload.module.css';
import { UploadRoomLine } from './upload-room.js';

/** Picks files, says when each was driven, and puts them into the queue. One that was begun before goes on. */
export function ChooseFiles({ vehicleId }: { readonly vehicleId: string | undefined }) {
  const [chosen, setChosen] = useState<readonly ChosenFile[]>([]);
  const { data } = useQuery({ ...uploadQueries.list(vehicleId), enabled: vehicleId !== undefined });
  const goesOnWith = (file: ChosenFile) => unfinishedOf(file, vehicleId, data?.items ?? []);
  const add = async (files: readonly File[]) => {
    const added = await Promise.all(files.map(toChosen));
    setChosen((now) => {
      const known = new Set(now.map(({ key }) => key));
      return [...now, ...added.filter(({ key }) => !known.has(key))];
    });
  };
  const send = () => {
    if (vehicleId === undefined) return;
    uploadQueue.add(
      chosen.map((entry) => {
        const unfinished = goesOnWith(entry);
        return {
          file: entry.file,
          vehicleId,
          drivenAt: fromLocalInput(entry.drivenAt),
          ...(unfinished && { goesOnWith: unfinished }),
        };
      }),
    );
    setChosen([]);
  };
  const newBytes = chosen.reduce((sum, entry) => sum + (goesOnWith(entry) ? 0 : entry.file.size), 0);
  const fault = data === undefined ? null : roomFault(chosen, newBytes, data.room);
  return (
    <>
      <Dropzone
        className={classes.drop ?? ''}
        onDrop={(files) => void add(files)}
        disabled={vehicleId === undefined}
        inputProps={{ 'aria-label': 'Drive logs to upload' }}
      >
        <Text fw={600}>
          {vehicleId === undefined ? 'Choose the car above first' : 'Drop drive logs here, or choose them'}
        </Text>
        <Text size="sm" c="dimmed">
          CSV, JSON lines, MDF 4 or a bus capture, plain or packed as .gz or .zip. Time, input speed and output speed
          are needed; sample at 10 Hz or faster.
        </Text>
        {data !== undefined && (
          <Text size="sm" c="dimmed">
            <UploadRoomLine room={data.room} />
          </Text>
        )}
      </Dropzone>
      {chosen.length > 0 && (
        <div className={classes.chosen}>
          <DataTable
            label="Files to upload"
            columns={chosenColumns(chosen, setChosen, goesOnWith)}
            rows={chosen}
            rowId={({ key }) => key}
          />
          {fault !== null && (
            <Text size="sm" mt="sm" role="alert">
              {fault}
            </Text>
          )}
          <Group mt="sm" gap="sm">
            <Button
              onClick={send}
              disabled={vehicleId === undefined || fault !== null || chosen.some(({ drivenAt }) => drivenAt === '')}
            >
              Upload {counted(chosen.length, 'file')}
            </Button>
            <Button variant="default" onClick={() => setChosen([])}>
              Clear
            </Button>
          </Group>
        </div>
      )}
    </>
  );
}

function chosenColumns(
  chosen: readonly ChosenFile[],
  onChange: (next: readonly ChosenFile[]) => void,
  goesOnWith: (file: ChosenFile) => Upload | undefined,
): readonly DataColumn<ChosenFile>[] {
  const setDrivenAt = (key: string, drivenAt: string) =>
    onChange(chosen.map((entry) => (entry.key === key ? { ...entry, drivenAt } : entry)));
  return [
    { id: 'file', title: 'File', render: ({ file }) => <span className={classes.name}>{file.name}</span> },
    { id: 'size', title: 'Size', isNumber: true, render: ({ file }) => formatBytes(file.size) },
    {
      id: 'driven',
      title: `Driven at, ${zoneName()} (from the file; mend it if it is wrong)`,
      render: (entry) => {
        const unfinished = goesOnWith(entry);
        if (unfinished) return `Begun before: goes on after ${formatBytes(unfinished.receivedBytes)}`;
        return (
          <input
            className={classes.time}
            type="datetime-local"
            aria-label={`When ${entry.file.name} was driven`}
            value={entry.drivenAt}
            required
            onChange={(event) => setDrivenAt(entry.key, event.currentTarget.value)}
          />
        );
      },
    },
    {
      id: 'remove',
      title: 'Leave out',
      render: ({ key, file }) => (
        <Button
          size="compact-xs"
          variant="subtle"
          aria-label={`Leave out ${file.name}`}
          onClick={() => onChange(chosen.filter((entry) => entry.key !== key))}
        >
          Leave out
        </Button>
      ),
    },
  ];
}

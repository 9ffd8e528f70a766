import { Button, Group, Text } from '@mantine/core';
import { Dropzone } from '@mantine/dropzone';
import '@mantine/dropzone/styles.css';
import { useState } from 'react';
import { uploadQueue } from '../../api/upload-queue.js';
import { fromLocalInput, toLocalInput, zoneName } from '../../format/local-time.js';
import { counted, formatBytes } from '../../format/quantity.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import classes from './upload.module.css';

interface ChosenFile {
  readonly key: string;
  readonly file: File;
  /** Value of a datetime-local input, in the zone of this computer. */
  readonly drivenAt: string;
}

/** Picks files, says when each was driven, and puts them into the queue. */
export function ChooseFiles({ vehicleId }: { readonly vehicleId: string | undefined }) {
  const [chosen, setChosen] = useState<readonly ChosenFile[]>([]);
  const add = (files: readonly File[]) => {
    const known = new Set(chosen.map(({ key }) => key));
    setChosen([...chosen, ...files.map(toChosen).filter(({ key }) => !known.has(key))]);
  };
  const send = () => {
    if (vehicleId === undefined) return;
    uploadQueue.add(chosen.map(({ file, drivenAt }) => ({ file, vehicleId, drivenAt: fromLocalInput(drivenAt) })));
    setChosen([]);
  };
  return (
    <>
      <Dropzone
        className={classes.drop ?? ''}
        onDrop={add}
        disabled={vehicleId === undefined}
        inputProps={{ 'aria-label': 'Drive logs to upload' }}
      >
        <Text fw={600}>
          {vehicleId === undefined ? 'Choose the car above first' : 'Drop drive logs here, or choose them'}
        </Text>
        <Text size="sm" c="dimmed">
          .csv or .csv.gz, any size. Time, input speed and output speed are needed; sample at 10 Hz or faster.
        </Text>
      </Dropzone>
      {chosen.length > 0 && (
        <div className={classes.chosen}>
          <DataTable
            label="Files to upload"
            columns={chosenColumns(chosen, setChosen)}
            rows={chosen}
            rowId={({ key }) => key}
          />
          <Group mt="sm" gap="sm">
            <Button onClick={send} disabled={vehicleId === undefined || chosen.some(({ drivenAt }) => drivenAt === '')}>
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

function toChosen(file: File): ChosenFile {
  return {
    key: `${file.name}/${file.size}/${file.lastModified}`,
    file,
    drivenAt: toLocalInput(new Date(file.lastModified)),
  };
}

function chosenColumns(
  chosen: readonly ChosenFile[],
  onChange: (next: readonly ChosenFile[]) => void,
): readonly DataColumn<ChosenFile>[] {
  const setDrivenAt = (key: string, drivenAt: string) =>
    onChange(chosen.map((entry) => (entry.key === key ? { ...entry, drivenAt } : entry)));
  return [
    { id: 'file', title: 'File', render: ({ file }) => file.name },
    { id: 'size', title: 'Size', isNumber: true, render: ({ file }) => formatBytes(file.size) },
    {
      id: 'driven',
      title: `Driven at, ${zoneName()} (from the file; mend it if it is wrong)`,
      render: ({ key, file, drivenAt }) => (
        <input
          className={classes.time}
          type="datetime-local"
          aria-label={`When ${file.name} was driven`}
          value={drivenAt}
          required
          onChange={(event) => setDrivenAt(key, event.currentTarget.value)}
        />
      ),
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

import { UnstyledButton } from '@mantine/core';
import type { LockUpRow, LogResponse } from '@syncline/contract';
import { memo, useMemo } from 'react';
import { csvFileName } from '../../format/csv.js';
import { counted } from '../../format/quantity.js';
import { formatElapsed } from '../../format/time.js';
import { CsvButton } from '../../parts/csv-button.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { Section } from '../../parts/section.js';
import { Value } from '../../parts/value.js';
import { VERDICT_WORDS } from './lock-up-words.js';
import classes from './log.module.css';
import type { DriveView } from './use-drive-view.js';

const ROOM_S = 3;

interface LockUpSectionProps {
  readonly log: LogResponse;
  readonly lockUps: readonly LockUpRow[];
  readonly zoom: DriveView['zoom'];
}

/** Each closing of the converter clutch with its measures. */
export const LockUpSection = memo(({ log, lockUps, zoom }: LockUpSectionProps) => {
  const columns = useMemo(() => columnsFor(zoom), [zoom]);
  return (
    <Section
      title="Converter lock-up"
      note="Made once engine and input speed are within 200 rpm. A small steady slip is intended; shifts inside an episode explain slip and are no fault."
      actions={<CsvButton fileName={csvFileName('lock-up', log.fileName)} columns={CSV_COLUMNS} rows={lockUps} />}
    >
      {lockUps.length === 0 ? (
        <p>No lock-up was found in this drive.</p>
      ) : (
        <div className={classes.tableBox}>
          <DataTable label="Lock-up episodes" columns={columns} rows={lockUps} rowId={(episode) => episode.id} />
        </div>
      )}
    </Section>
  );
});

function columnsFor(zoom: DriveView['zoom']): readonly DataColumn<LockUpRow>[] {
  return [
    {
      id: 'at',
      title: 'Command',
      unit: 'min:s',
      render: ({ commandS, releasedS, madeS }) => (
        <UnstyledButton
          c="var(--accent-ink)"
          fz="inherit"
          onClick={() =>
            zoom({ fromS: Math.max(0, commandS - ROOM_S), toS: (releasedS ?? madeS ?? commandS) + ROOM_S })
          }
        >
          {formatElapsed(commandS)}
        </UnstyledButton>
      ),
    },
    { id: 'verdict', title: 'Verdict', render: ({ verdict }) => VERDICT_WORDS[verdict] },
    { id: 'gear', title: 'Gear', isNumber: true, render: ({ gear }) => gear ?? '–' },
    {
      id: 'time',
      title: 'Time to lock',
      isNumber: true,
      render: ({ timeToLockS }) => <Value value={timeToLockS} unit="s" />,
    },
    {
      id: 'slip',
      title: 'Steady slip',
      isNumber: true,
      render: ({ steadySlipRpm }) => <Value value={steadySlipRpm} unit="rpm" />,
    },
    {
      id: 'judder',
      title: 'Judder, 5–15 Hz',
      isNumber: true,
      render: ({ judderRpm }) => <Value value={judderRpm} unit="rpm" digits={1} />,
    },
    { id: 'inside', title: 'Inside', render: ({ shiftsInside }) => counted(shiftsInside, 'shift') },
  ];
}

const CSV_COLUMNS = [
  { header: 'command [s]', cell: (episode: LockUpRow) => episode.commandS },
  { header: 'made [s]', cell: (episode: LockUpRow) => episode.madeS },
  { header: 'released [s]', cell: (episode: LockUpRow) => episode.releasedS },
  { header: 'verdict', cell: (episode: LockUpRow) => episode.verdict },
  { header: 'gear', cell: (episode: LockUpRow) => episode.gear },
  { header: 'time to lock [s]', cell: (episode: LockUpRow) => episode.timeToLockS },
  { header: 'steady slip [rpm]', cell: (episode: LockUpRow) => episode.steadySlipRpm },
  { header: 'overshoot [rpm]', cell: (episode: LockUpRow) => episode.overshootRpm },
  { header: 'judder [rpm]', cell: (episode: LockUpRow) => episode.judderRpm },
];

import { UnstyledButton } from '@mantine/core';
import type { LogResponse, ShiftRow } from '@syncline/contract';
import { memo, useMemo } from 'react';
import { csvFileName } from '../../format/csv.js';
import { formatElapsed } from '../../format/time.js';
import { CsvButton } from '../../parts/csv-button.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { EmptyState } from '../../parts/empty-state.js';
import { GradeMarks } from '../../parts/grade-mark.js';
import { Section } from '../../parts/section.js';
import { Value } from '../../parts/value.js';
import classes from './log.module.css';
import type { DriveView } from './use-drive-view.js';

interface ShiftsSectionProps {
  readonly log: LogResponse;
  readonly shifts: readonly ShiftRow[];
  readonly chosenId: string | undefined;
  readonly choose: DriveView['choose'];
}

/** All shifts of the drive as a table: the plot for those who read rather than look. Zooming changes nothing in it. */
export const ShiftsSection = memo(({ log, shifts, chosenId, choose }: ShiftsSectionProps) => {
  const columns = useMemo(() => columnsFor(choose), [choose]);
  return (
    <Section
      title="Shifts of this drive"
      actions={<CsvButton fileName={csvFileName('shifts', log.fileName)} columns={CSV_COLUMNS} rows={shifts} />}
    >
      {shifts.length === 0 ? (
        <EmptyState title="No shift was found">
          The car stayed in one gear, or the ratio could not be read. The findings below say which.
        </EmptyState>
      ) : (
        <div className={classes.tableBox}>
          <DataTable
            label="Shifts of this drive"
            columns={columns}
            rows={shifts}
            rowId={(shift) => shift.id}
            chosenRowId={chosenId}
          />
        </div>
      )}
    </Section>
  );
});

function columnsFor(choose: DriveView['choose']): readonly DataColumn<ShiftRow>[] {
  return [
    {
      id: 'at',
      title: 'Command',
      unit: 'min:s',
      render: (shift) => (
        <UnstyledButton c="var(--accent-ink)" fz="inherit" onClick={() => choose(shift.id)}>
          {formatElapsed(shift.commandS)}
        </UnstyledButton>
      ),
    },
    { id: 'kind', title: 'Shift', render: ({ kind, isHunting }) => (isHunting ? `${kind}, hunting` : kind) },
    { id: 'grades', title: 'Grade', render: ({ grades }) => <GradeMarks grades={grades} /> },
    { id: 'load', title: 'Load', isNumber: true, render: ({ load }) => <Value value={load} unit="%" /> },
    {
      id: 'temperature',
      title: 'Fluid',
      isNumber: true,
      render: ({ fluidTemperatureC }) => <Value value={fluidTemperatureC} unit="°C" />,
    },
    { id: 'flare', title: 'Flare', isNumber: true, render: ({ flareRpm }) => <Value value={flareRpm} unit="rpm" /> },
    {
      id: 'tieUp',
      title: 'Tie-up',
      isNumber: true,
      render: ({ tieUpDepth }) => <Value value={tieUpDepth} unit="m/s²" />,
    },
    {
      id: 'jerk',
      title: 'Peak jerk',
      isNumber: true,
      render: ({ peakJerk }) => <Value value={peakJerk} unit="m/s³" />,
    },
    {
      id: 'inertia',
      title: 'Inertia time',
      isNumber: true,
      render: ({ inertiaTimeS }) => <Value value={inertiaTimeS} unit="s" />,
    },
  ];
}

const CSV_COLUMNS = [
  { header: 'command [s]', cell: (shift: ShiftRow) => shift.commandS },
  { header: 'shift', cell: (shift: ShiftRow) => shift.kind },
  { header: 'grades', cell: (shift: ShiftRow) => shift.grades.join(' ') },
  { header: 'load [%]', cell: (shift: ShiftRow) => shift.load },
  { header: 'fluid temperature [°C]', cell: (shift: ShiftRow) => shift.fluidTemperatureC },
  { header: 'input speed [rpm]', cell: (shift: ShiftRow) => shift.inputSpeedRpm },
  { header: 'flare [rpm]', cell: (shift: ShiftRow) => shift.flareRpm },
  { header: 'flare [ms]', cell: (shift: ShiftRow) => shift.flareMs },
  { header: 'tie-up [m/s²]', cell: (shift: ShiftRow) => shift.tieUpDepth },
  { header: 'peak jerk [m/s³]', cell: (shift: ShiftRow) => shift.peakJerk },
  { header: 'inertia time [s]', cell: (shift: ShiftRow) => shift.inertiaTimeS },
  { header: 'shift time [s]', cell: (shift: ShiftRow) => shift.shiftTimeS },
];

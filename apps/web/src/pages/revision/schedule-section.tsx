import { Select } from '@mantine/core';
import type { LayoutDocument, PlatformDocument, RevisionContentDocument } from '@syncline/contract';
import { lazy, memo, Suspense, useMemo } from 'react';
import { SCHEDULE_HEIGHT_PX } from '../../charts/schedule-line.js';
import { csvFileName } from '../../format/csv.js';
import { counted } from '../../format/quantity.js';
import { CsvButton } from '../../parts/csv-button.js';
import { Section } from '../../parts/section.js';
import { BlockSkeleton } from '../../parts/skeletons.js';
import classes from './schedule.module.css';
import { isByProgram, SCHEDULE_CSV_COLUMNS, type Schedule, scheduleCsvRows, scheduleView } from './schedule-view.js';

const SchedulePlot = lazy(async () => ({ default: (await import('../../charts/schedule-plot.js')).SchedulePlot }));

interface ScheduleSectionProps {
  readonly layout: LayoutDocument;
  readonly platform: PlatformDocument;
  readonly content: RevisionContentDocument;
  /** Drawn thin behind, where it differs; null for nothing. */
  readonly before: RevisionContentDocument | null;
  readonly beforeName: string;
  /** Only the schedules that this table belongs to; all of the layout when left out. */
  readonly tableId?: string;
  readonly program: string | undefined;
  readonly onProgram: (program: string) => void;
}

/** The shift schedules as lines: when the gearbox would shift, pedal over output speed. */
export const ScheduleSection = memo(function ScheduleSection(props: ScheduleSectionProps) {
  const { layout, tableId } = props;
  const schedules = (layout.schedules ?? []).filter(
    ({ upTable, downTable }) => tableId === undefined || [upTable, downTable].includes(tableId),
  );
  return schedules.map((schedule) => <OneSchedule key={schedule.id} schedule={schedule} {...props} />);
});

function OneSchedule(props: ScheduleSectionProps & { readonly schedule: Schedule }) {
  const { layout, platform, content, before, beforeName, schedule, program: asked, onProgram } = props;
  const hasPrograms = isByProgram(layout, schedule);
  const program = hasPrograms
    ? (platform.programs.find(({ id }) => id === asked) ?? platform.programs[0])?.id
    : undefined;
  const view = useMemo(
    () => scheduleView({ layout, platform, schedule, program }, content, before),
    [layout, platform, schedule, program, content, before],
  );
  if ('why' in view) return <Section title={schedule.title}>{view.why}</Section>;
  const hasContext = view.lines.some(({ look }) => look === 'context');
  return (
    <Section
      title={schedule.title}
      note="Pedal over output speed. To the right of a solid line the gearbox shifts up, to the left of a dashed one down."
      actions={
        <>
          {hasPrograms && program !== undefined && (
            <Select
              size="xs"
              w={150}
              aria-label="Program of the schedule"
              allowDeselect={false}
              data={platform.programs.map(({ id, title }) => ({ value: id, label: title }))}
              value={program}
              onChange={(next) => next !== null && onProgram(next)}
            />
          )}
          <CsvButton
            fileName={csvFileName('schedule', schedule.id, program)}
            columns={SCHEDULE_CSV_COLUMNS}
            rows={scheduleCsvRows(view)}
          />
        </>
      }
    >
      <div className={classes.key}>
        <span className={classes.up}>upshift</span> <span className={classes.down}>downshift</span>
        {hasContext && <span className={classes.before}>thin: {beforeName}</span>}
        {view.marks.some(({ kind }) => kind === 'crossing') && <span>× crossing</span>}
        {view.marks.some(({ kind }) => kind === 'other') && <span>○ too close, or engine too slow or fast</span>}
      </div>
      <Suspense fallback={<BlockSkeleton height={SCHEDULE_HEIGHT_PX} />}>
        <SchedulePlot
          label={`${schedule.title}: shift lines, pedal over output speed; the download has the figures`}
          lines={view.lines}
          marks={view.marks}
        />
      </Suspense>
      {view.objections.length > 0 && (
        <>
          <h3 className={classes.head}>{counted(view.objections.length, 'objection')} of the checks</h3>
          <ul className={classes.objections}>
            {view.objections.map((message) => (
              <li key={message}>{message}</li>
            ))}
          </ul>
        </>
      )}
    </Section>
  );
}

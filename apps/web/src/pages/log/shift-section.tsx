import { Button } from '@mantine/core';
import type { LogResponse, PlatformDocument, ShiftRow, SignalsResponse } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useEffect, useMemo, useRef } from 'react';
import { logDownloads, logQueries } from '../../api/logs.js';
import { platformQueries } from '../../api/platforms.js';
import { vehicleQueries } from '../../api/vehicles.js';
import { LaneStrip } from '../../charts/lane-strip.js';
import type { TimeRange } from '../../charts/plot-frame.js';
import type { PlotSeries } from '../../charts/plot-series.js';
import { strictlyIncreasing } from '../../charts/strictly-increasing.js';
import { TimePlot } from '../../charts/time-plot.js';
import { formatElapsed } from '../../format/time.js';
import { CsvButton } from '../../parts/csv-button.js';
import { GradeMarks } from '../../parts/grade-mark.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { BlockSkeleton } from '../../parts/skeletons.js';
import classes from './log.module.css';
import { linesOf, PANELS, type Panel } from './panels.js';
import { ShiftMeasures } from './shift-measures.js';
import { clutchLanes, momentsOf, phasesOf, valveLane, windowOf } from './shift-phases.js';
import type { DriveView } from './use-drive-view.js';

interface ShiftSectionProps {
  readonly log: LogResponse;
  readonly shift: ShiftRow;
  readonly shifts: readonly ShiftRow[];
  readonly view: DriveView;
}

/** More than a shift of a few seconds has at 200 Hz, so that every sample comes. */
const EVERY_SAMPLE = 2000;
const PRESSURE = PANELS.find(({ id }) => id === 'pressure') as Panel;
const SIGNALS = ['inputSpeed', 'outputSpeed', 'engineSpeed', 'valveOn', ...PRESSURE.signals];

/** One shift in detail: synchronous lines, phases, clutches, pressures, measures. */
export function ShiftSection({ log, shift, shifts, view }: ShiftSectionProps) {
  const range = useMemo(() => windowOf(shift), [shift]);
  const available = log.signals.map(({ signal }) => signal);
  const window = { signals: SIGNALS.filter((id) => available.includes(id)), ...range, points: EVERY_SAMPLE };
  const sent = useQuery(logQueries.signals(log.id, window));
  const vehicle = useQuery(vehicleQueries.one(log.vehicleId));
  const platformId = vehicle.data?.platformId;
  const platform = useQuery({ ...platformQueries.one(platformId ?? ''), enabled: platformId !== undefined });
  const head = useRef<HTMLDivElement>(null);
  useEffect(() => {
    // In braces: newer browsers return a promise here, which React would take for a clean-up.
    head.current?.scrollIntoView({ block: 'start' });
  }, [shift.id]);
  const index = shifts.findIndex(({ id }) => id === shift.id);
  return (
    <div ref={head} className={classes.chosen}>
      <Section
        title={
          <>
            Shift {shift.kind} at {formatElapsed(shift.commandS)} <GradeMarks grades={shift.grades} />
          </>
        }
        actions={
          <>
            <StepButton word="Earlier shift" to={shifts[index - 1]} view={view} />
            <StepButton word="Later shift" to={shifts[index + 1]} view={view} />
            <CsvButton href={logDownloads.signals(log.id, window)} />
            <Button size="compact-sm" variant="subtle" onClick={() => view.choose(undefined)}>
              Close
            </Button>
          </>
        }
      >
        <div className={classes.split}>
          <QueryView query={sent} skeleton={<BlockSkeleton height={420} />}>
            {(data) => (
              <QueryView query={platform} skeleton={<BlockSkeleton height={420} />}>
                {({ platform: found }) => <ShiftPlots shift={shift} sent={data} platform={found} range={range} />}
              </QueryView>
            )}
          </QueryView>
          <ShiftMeasures log={log} shift={shift} valveOnLimitS={platform.data?.policy.valveOnLimitS} />
        </div>
      </Section>
    </div>
  );
}

interface StepButtonProps {
  readonly word: string;
  readonly to: ShiftRow | undefined;
  readonly view: DriveView;
}

function StepButton({ word, to, view }: StepButtonProps) {
  return (
    <Button size="compact-sm" variant="default" disabled={to === undefined} onClick={() => view.choose(to?.id)}>
      {word}
    </Button>
  );
}

interface ShiftPlotsProps {
  readonly shift: ShiftRow;
  readonly sent: SignalsResponse;
  readonly platform: PlatformDocument;
  readonly range: TimeRange;
}

function ShiftPlots({ shift, sent, platform, range }: ShiftPlotsProps) {
  const timeS = useMemo(() => strictlyIncreasing(sent.timeS).timeS, [sent]);
  const phases = useMemo(() => phasesOf(shift), [shift]);
  const moments = useMemo(() => momentsOf(shift), [shift]);
  const speeds = useMemo(() => speedLines(shift, sent, platform), [shift, sent, platform]);
  const pressures = useMemo(() => linesOf(PRESSURE, sent), [sent]);
  const lanes = useMemo(() => lanesOf(shift, sent, platform), [shift, sent, platform]);
  const common = { timeS, range, phases, moments, cursorKey: 'shift' };
  return (
    <div className={classes.plots}>
      <TimePlot
        {...common}
        label={`Input speed of shift ${shift.kind} against the synchronous lines of gear ${shift.from} and gear ${shift.to}`}
        series={speeds}
        heightPx={290}
        hasTimeAxis
      />
      <LaneStrip label="Clutches and valve" lanes={lanes} range={range} looks={LOOKS} />
      {pressures.length > 0 && (
        <TimePlot
          {...common}
          label="Commanded pressures during the shift"
          series={pressures}
          heightPx={110}
          hasTimeAxis={false}
        />
      )}
      <p className={classes.small}>
        Vertical lines: dotted, command{shift.commandSource === 'lastInGear' && ' (last moment in the old gear)'};
        dashed, inertia phase begins; solid, synchronised. Clutch lanes follow the application chart and the phases
        found; clutch pressure itself is not measured.
      </p>
    </div>
  );
}

const LOOKS = [
  { look: 'filling', word: 'filling' },
  { look: 'slipping', word: 'slipping' },
  { look: 'full', word: 'applied or energised' },
] as const;

function lanesOf(shift: ShiftRow, sent: SignalsResponse, platform: PlatformDocument) {
  const valve = sent.series.find(({ signal }) => signal === 'valveOn');
  const lanes = clutchLanes(platform, shift);
  return valve === undefined ? lanes : [...lanes, valveLane(sent.timeS, valve.max)];
}

/** Input speed between the two synchronous lines, gear ratio × output speed (design vocabulary), and engine speed. */
function speedLines(shift: ShiftRow, sent: SignalsResponse, platform: PlatformDocument): PlotSeries[] {
  const find = (id: string) => sent.series.find(({ signal }) => signal === id);
  const output = find('outputSpeed');
  const input = find('inputSpeed');
  const engine = find('engineSpeed');
  const ratioOf = (gear: number) => platform.gears.find((entry) => entry.gear === gear)?.ratio ?? Number.NaN;
  const lines: PlotSeries[] = [];
  const scaled = (values: readonly (number | null)[], ratio: number) =>
    values.map((value) => (value === null ? null : value * ratio));
  for (const [gear, dash] of [
    [shift.from, [8, 4]],
    [shift.to, [3, 3]],
  ] as const) {
    if (output === undefined || Number.isNaN(ratioOf(gear))) continue;
    lines.push({
      id: `line-${gear}`,
      title: `Line of gear ${gear}`,
      unit: 'rpm',
      min: scaled(output.min, ratioOf(gear)),
      max: scaled(output.max, ratioOf(gear)),
      colour: '--series-4',
      dash,
    });
  }
  if (engine !== undefined) lines.push({ ...engine, id: 'engineSpeed', colour: '--line-strong', dash: [1, 2] });
  if (input !== undefined) lines.push({ ...input, id: 'inputSpeed', colour: '--series-1', width: 2 });
  return lines;
}

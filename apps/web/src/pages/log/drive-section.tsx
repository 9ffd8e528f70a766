import { Button } from '@mantine/core';
import { useElementSize } from '@mantine/hooks';
import type { LogResponse, ShiftRow, SignalsResponse } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useDeferredValue, useMemo } from 'react';
import { logDownloads, logQueries } from '../../api/logs.js';
import { type MarkedMoment, MomentStrip } from '../../charts/moment-strip.js';
import type { TimeRange } from '../../charts/plot-frame.js';
import { ShiftStrip } from '../../charts/shift-strip.js';
import { strictlyIncreasing } from '../../charts/strictly-increasing.js';
import { TimePlot } from '../../charts/time-plot.js';
import { counted, formatNumber } from '../../format/quantity.js';
import { formatElapsed } from '../../format/time.js';
import { CsvButton } from '../../parts/csv-button.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { BlockSkeleton } from '../../parts/skeletons.js';
import classes from './log.module.css';
import { linesOf, PANELS, type Panel, SPEED_PANEL, signalsOf } from './panels.js';
import { PointedMoment } from './pointed-moment.js';
import { DRIVE_CURSOR, type DriveView } from './use-drive-view.js';

interface DriveSectionProps {
  readonly log: LogResponse;
  readonly shifts: readonly ShiftRow[];
  readonly moments: readonly MarkedMoment[];
  readonly view: DriveView;
}

const NO_MARKS = { shifts: [], range: { fromS: 0, toS: 0 } };

/** The whole drive or a part of it, shifts marked by grade. With a shift chosen it shrinks to a way to find others. */
export function DriveSection({ log, shifts, moments, view }: DriveSectionProps) {
  const { ref, width } = useElementSize();
  const panels = view.isOnShift ? SPEED_PANEL : PANELS;
  const signals = signalsOf(
    panels,
    log.signals.map(({ signal }) => signal),
  );
  const { range, isZoomed } = view;
  // There may be hundreds of marks: the lines are drawn first, the marks in the next breath.
  const marked = useDeferredValue(
    useMemo(() => ({ shifts, range }), [shifts, range]),
    NO_MARKS,
  );
  const window = {
    signals,
    points: pointsFor(width),
    fromS: isZoomed ? range.fromS : undefined,
    toS: isZoomed ? range.toS : undefined,
  };
  const sent = useQuery({ ...logQueries.signals(log.id, window), enabled: width > 0 });
  return (
    <Section
      title={isZoomed ? `Drive from ${formatElapsed(range.fromS, 1)} to ${formatElapsed(range.toS, 1)}` : 'Whole drive'}
      note="Elapsed minutes and seconds. Drag across to zoom, double click for the whole drive, arrow keys move the cursor by a sample, Shift with an arrow steps a shift. Choose a mark to open its shift. A click or Enter points at a moment, to write a note to it."
      actions={
        <>
          {isZoomed && (
            <Button size="compact-sm" variant="default" onClick={view.reset}>
              Whole drive
            </Button>
          )}
          <CsvButton href={logDownloads.signals(log.id, { signals, fromS: window.fromS, toS: window.toS })} />
        </>
      }
    >
      <div ref={ref}>
        <ShiftStrip {...marked} chosenId={view.chosen?.id} onChoose={view.choose} />
        <MomentStrip moments={moments} range={range} onChoose={view.point} />
        <QueryView query={sent} skeleton={<BlockSkeleton height={view.isOnShift ? 180 : 640} />}>
          {(data) => <DrivePanels panels={panels} sent={data} view={view} moments={moments} isSmall={view.isOnShift} />}
        </QueryView>
        {view.atS !== undefined && <PointedMoment log={log} atS={view.atS} shifts={shifts} view={view} />}
      </div>
    </Section>
  );
}

interface DrivePanelsProps {
  readonly panels: readonly Panel[];
  readonly sent: SignalsResponse;
  readonly view: DriveView;
  readonly moments: readonly MarkedMoment[];
  readonly isSmall: boolean;
}

function DrivePanels({ panels, sent, view, moments: marked, isSmall }: DrivePanelsProps) {
  const lines = useMemo(() => panels.map((panel) => linesOf(panel, sent)), [panels, sent]);
  const rising = useMemo(() => strictlyIncreasing(sent.timeS), [sent]);
  const shown = panels
    .map((panel, index) => ({ panel, series: lines[index] ?? [] }))
    .filter(({ series }) => series.length > 0);
  const { chosen, atS } = view;
  const moments = useMemo(
    () => [
      ...marked.map((moment) => ({ timeS: moment.atS, dash: MOMENT_DASH[moment.kind] })),
      ...(chosen === undefined ? [] : [{ timeS: chosen.commandS, dash: [] }]),
      ...(atS === undefined ? [] : [{ timeS: atS, dash: POINTED_DASH }]),
    ],
    [marked, chosen, atS],
  );
  return (
    <>
      {shown.map(({ panel, series }, index) => (
        <TimePlot
          key={panel.id}
          label={describe(panel, sent, view.range)}
          timeS={rising.timeS}
          series={series}
          range={view.range}
          heightPx={isSmall ? 130 : panel.heightPx}
          hasTimeAxis={index === shown.length - 1}
          moments={moments}
          cursorKey={DRIVE_CURSOR}
          onZoom={view.zoom}
          onReset={view.reset}
          onPick={view.point}
        />
      ))}
      <SamplingLine sent={sent} repeats={rising.repeats} stepsBack={rising.stepsBack} />
      {moments.length > 0 && <MomentKey />}
    </>
  );
}

const MOMENT_DASH = { note: [1, 3], press: [6, 3, 1, 3] } as const;
const POINTED_DASH = [5, 3];

/** What each pattern of vertical line stands for. */
function MomentKey() {
  return (
    <p className={classes.small}>
      Vertical lines: solid, command of the chosen shift; dashed, the moment pointed at; dotted, a note; dashes and
      dots, the marker button was pressed.
    </p>
  );
}

interface SamplingLineProps {
  readonly sent: SignalsResponse;
  readonly repeats: number;
  readonly stepsBack: number;
}

/** Says how many samples a point stands for, and what of the time had to be moved to be drawn. */
function SamplingLine({ sent, repeats, stepsBack }: SamplingLineProps) {
  const sampling = sent.isRaw
    ? 'Every sample is drawn.'
    : `One point stands for ${formatNumber(sent.samplesPerPoint, 0)} samples; their whole range is drawn, so no peak is lost.`;
  const oddities =
    repeats + stepsBack > 0
      ? ` ${counted(repeats, 'repeated time')} and ${counted(stepsBack, 'step back', 'steps back')} drawn a hair later.`
      : '';
  return (
    <p style={{ margin: '4px 0 0', fontSize: 12, color: 'var(--ink-soft)' }}>
      {sampling}
      {oddities}
    </p>
  );
}

function describe(panel: Panel, sent: SignalsResponse, range: TimeRange): string {
  const words = sent.series
    .filter(({ signal }) => panel.signals.includes(signal))
    .map(({ title, unit }) => `${title} in ${unit || 'steps'}`);
  return `${panel.title} from ${formatElapsed(range.fromS, 0)} to ${formatElapsed(range.toS, 0)}: ${words.join(', ')}. The shifts are listed in the table below.`;
}

/** One point for each pixel, in steps, so that a small change of width asks for nothing new. */
function pointsFor(widthPx: number): number {
  return Math.min(2000, Math.max(200, Math.ceil(widthPx / 200) * 200));
}

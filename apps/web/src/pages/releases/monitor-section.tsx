import { Select } from '@mantine/core';
import type { PartLook, ReleaseLooksResponse, ReleaseResponse } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { lazy, Suspense } from 'react';
import { releaseQueries } from '../../api/releases.js';
import { csvFileName } from '../../format/csv.js';
import { counted } from '../../format/quantity.js';
import { CsvButton } from '../../parts/csv-button.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { Folded } from '../../parts/folded.js';
import { HelpTerm } from '../../parts/help-term.js';
import { Instant } from '../../parts/instant.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { BlockSkeleton } from '../../parts/skeletons.js';
import { LOOKS_HEIGHT_PX, type LookRow } from './look-row.js';
import { WatchMark } from './release-marks.js';
import { partName, points } from './release-words.js';
import classes from './releases.module.css';

const LooksPlot = lazy(() => import('./looks-plot.js').then((module) => ({ default: module.LooksPlot })));

interface MonitorSectionProps {
  readonly release: ReleaseResponse;
  /** `flare`, or `harsh.3` for a load band. */
  readonly part: string | undefined;
  readonly onPart: (part: string | undefined) => void;
}

const keyOf = ({ measure, loadBand }: Pick<PartLook, 'measure' | 'loadBand'>) =>
  loadBand === null ? measure : `${measure}.${loadBand}`;

/** What the monitor saw at each look: the change against the revision replaced, and the bound that it lies in. */
export function MonitorSection({ release, part = 'flare', onPart }: MonitorSectionProps) {
  const query = useQuery(releaseQueries.looks(release.id));
  const rows = rowsOf(query.data, part);
  return (
    <Section
      title={<HelpTerm term="monitor">Monitor</HelpTerm>}
      note={
        release.replacesLabel === null ? (
          'It replaces no revision, so there is nothing to compare with: nothing holds it by itself.'
        ) : (
          <>
            Each car with itself at like driving, against {release.replacesLabel}.{' '}
            {release.lastLook !== null && <WatchMark verdict={release.lastLook.verdict} />}
          </>
        )
      }
      actions={
        <CsvButton
          fileName={csvFileName('looks', release.revisionLabel, part)}
          columns={csvColumns(query.data?.loadBands ?? [])}
          rows={rows}
        />
      }
    >
      <QueryView
        query={query}
        isEmpty={({ items }) => items.length === 0}
        empty="No look yet. The monitor looks after every drive that was analysed under this revision or the one replaced."
      >
        {({ items, loadBands, harmLimit }) => (
          <>
            <Select
              label="Shown"
              w={260}
              mb="sm"
              allowDeselect={false}
              data={(items[0]?.parts ?? []).map((entry) => ({
                value: keyOf(entry),
                label: partName(entry, loadBands),
              }))}
              value={part}
              onChange={(value) => onPart(value === 'flare' || value === null ? undefined : value)}
            />
            {rows.some(({ change }) => change !== null) ? (
              <Suspense fallback={<BlockSkeleton height={LOOKS_HEIGHT_PX} />}>
                <LooksPlot rows={rows} harmLimit={harmLimit} />
              </Suspense>
            ) : (
              <p>Nothing to draw yet: {rows.at(-1)?.why}.</p>
            )}
            <Folded summary="Looks as a table">
              {() => (
                <DataTable
                  label="Looks of the monitor"
                  columns={LOOK_COLUMNS}
                  rows={[...rows].reverse()}
                  rowId={({ number }) => String(number)}
                />
              )}
            </Folded>
            <details open={release.lastLook?.verdict === 'harm' || release.lastLook?.verdict === 'doubtful'}>
              <summary>The newest look in every part</summary>
              <DataTable
                label="The newest look in every part"
                columns={partColumns(loadBands)}
                rows={items.at(-1)?.parts ?? []}
                rowId={keyOf}
              />
            </details>
          </>
        )}
      </QueryView>
    </Section>
  );
}

function rowsOf(data: ReleaseLooksResponse | undefined, part: string): LookRow[] {
  return (data?.items ?? []).flatMap((look, index) => {
    const found = look.parts.find((entry) => keyOf(entry) === part);
    return found ? [{ ...found, at: look.at, number: index + 1, totalShifts: look.shifts }] : [];
  });
}

function Change({ part }: { readonly part: PartLook }) {
  if (part.change === null) return <span className={classes.small}>{part.why}</span>;
  return (
    <>
      {points(part.change)} ({points(part.low)} to {points(part.high)})
    </>
  );
}

function PartVerdict({ part }: { readonly part: PartLook }) {
  return <WatchMark verdict={part.kind !== 'harm' && part.isDoubtful ? 'doubtful' : part.kind} />;
}

const LOOK_COLUMNS: readonly DataColumn<LookRow>[] = [
  { id: 'at', title: 'Look at', render: ({ at }) => <Instant at={at} /> },
  { id: 'verdict', title: 'Says', render: (row) => <PartVerdict part={row} /> },
  { id: 'change', title: 'Change and bound', unit: 'percentage points', render: (row) => <Change part={row} /> },
  {
    id: 'newer',
    title: 'With a grade under it',
    unit: 'of shifts',
    isNumber: true,
    render: ({ newerEvents, newerShifts }) => `${newerEvents} of ${newerShifts}`,
  },
  {
    id: 'older',
    title: 'Under the one replaced',
    unit: 'of shifts',
    isNumber: true,
    render: ({ olderEvents, olderShifts }) => `${olderEvents} of ${olderShifts}`,
  },
];

function partColumns(loadBands: readonly string[]): readonly DataColumn<PartLook>[] {
  return [
    { id: 'part', title: 'Part', render: (part) => partName(part, loadBands) },
    { id: 'verdict', title: 'Says', render: (part) => <PartVerdict part={part} /> },
    { id: 'change', title: 'Change and bound', unit: 'percentage points', render: (part) => <Change part={part} /> },
    {
      id: 'shifts',
      title: 'Compared',
      render: ({ newerShifts, olderShifts }) => `${counted(newerShifts, 'shift')} with ${olderShifts}`,
    },
  ];
}

function csvColumns(loadBands: readonly string[]) {
  return [
    { header: 'look at', cell: ({ at }: LookRow) => at },
    { header: 'part', cell: (row: LookRow) => partName(row, loadBands) },
    { header: 'says', cell: ({ kind, isDoubtful }: LookRow) => (kind !== 'harm' && isDoubtful ? 'doubtful' : kind) },
    { header: 'change (share)', cell: ({ change }: LookRow) => change },
    { header: 'low (share)', cell: ({ low }: LookRow) => low },
    { header: 'high (share)', cell: ({ high }: LookRow) => high },
    { header: 'events, newer', cell: ({ newerEvents }: LookRow) => newerEvents },
    { header: 'shifts, newer', cell: ({ newerShifts }: LookRow) => newerShifts },
    { header: 'events, older', cell: ({ olderEvents }: LookRow) => olderEvents },
    { header: 'shifts, older', cell: ({ olderShifts }: LookRow) => olderShifts },
    { header: 'all shifts under it', cell: ({ totalShifts }: LookRow) => totalShifts },
  ];
}

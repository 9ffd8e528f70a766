import { Select, Switch } from '@mantine/core';
import type { LogSummary, ScheduleReplay as Replay, RevisionResponse } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { scheduleReplayQuery } from '../../api/calibrations.js';
import { logQueries } from '../../api/logs.js';
import { type CsvColumn, csvFileName } from '../../format/csv.js';
import { counted, formatChange, formatCount, formatQuantity } from '../../format/quantity.js';
import { formatDay, formatDuration, formatElapsed } from '../../format/time.js';
import { CsvButton } from '../../parts/csv-button.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { FilterBar } from '../../parts/filter-bar.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import { BlockSkeleton } from '../../parts/skeletons.js';
import { TextLink } from '../../parts/text-link.js';
import type { Schedule } from './schedule-view.js';
import { useRevisionView } from './use-revision-view.js';

interface ScheduleReplayProps {
  readonly revision: RevisionResponse;
  readonly schedule: Schedule;
}

/** Newest drives that are offered. */
const OFFERED = 100;

/** A schedule driven over a recorded drive: which shifts would have come elsewhere. */
export function ScheduleReplay({ revision, schedule }: ScheduleReplayProps) {
  const { search, change } = useRevisionView();
  const logs = useQuery(logQueries.list({ state: 'ready', limit: OFFERED }));
  const { replay: log, against } = search;
  const replay = useQuery({
    ...scheduleReplayQuery(revision.id, { log: log ?? '', schedule: schedule.id, against }),
    enabled: log !== undefined,
  });
  const choices = (logs.data?.items ?? []).map((one) => ({ value: one.id, label: logLabel(one) }));
  return (
    <Section
      title={`${schedule.title} over a recorded drive`}
      note="The schedule of this revision is asked at every moment of the drive what it would do. Speeds and pedal stay as they were recorded, so only the first shift that moves is exact; what follows shows a tendency."
    >
      <FilterBar>
        <Select
          label="Drive"
          placeholder={logs.isPending ? 'Loading the drives' : 'Choose a drive'}
          searchable
          w={420}
          maw="100%"
          data={
            log !== undefined && !choices.some(({ value }) => value === log)
              ? [...choices, { value: log, label: 'the drive of this address' }]
              : choices
          }
          value={log ?? null}
          onChange={(chosen) => change({ replay: chosen ?? undefined }, false)}
        />
        {revision.parentId !== null && (
          <Select
            label="Compared with"
            allowDeselect={false}
            data={[
              { value: '', label: 'the shifts as recorded' },
              { value: revision.parentId, label: 'the schedule of the parent' },
            ]}
            value={against ?? ''}
            onChange={(chosen) => change({ against: chosen || undefined })}
          />
        )}
      </FilterBar>
      {log !== undefined && (
        <QueryView query={replay} skeleton={<BlockSkeleton height={200} />}>
          {(found) => <Moves replay={found} revision={revision} />}
        </QueryView>
      )}
    </Section>
  );
}

function logLabel({ fileName, vehicleTitle, drivenAt, durationS }: LogSummary): string {
  return `${vehicleTitle}, ${formatDay(drivenAt)}, ${formatDuration(durationS)} (${fileName})`;
}

type Move = Replay['moves'][number];

const CHANGE_WORDS: Record<Move['change'], string> = {
  same: 'as before',
  earlier: 'earlier',
  later: 'later',
  gone: 'does not come',
  new: 'is new',
};

function Moves({ replay, revision }: { readonly replay: Replay; readonly revision: RevisionResponse }) {
  const { search, change } = useRevisionView();
  const { logId, moves, recordedShifts, replayedShifts, assumption, scheduleId } = replay;
  const isAll = search.moves === 1;
  const shown = isAll ? moves : moves.filter((move) => move.change !== 'same');
  const counts = (['earlier', 'later', 'gone', 'new'] as const)
    .map((kind) => [kind, moves.filter((move) => move.change === kind).length] as const)
    .filter(([, count]) => count > 0)
    .map(([kind, count]) => `${formatCount(count)} ${CHANGE_WORDS[kind]}`);
  return (
    <>
      <p>
        {counted(recordedShifts, 'shift')} before, {formatCount(replayedShifts)} with this schedule
        {counts.length === 0 ? '; none moves.' : `: ${counts.join(', ')}.`} {assumption}
      </p>
      <FilterBar>
        <Switch
          size="xs"
          label="List those that stay too"
          checked={isAll}
          onChange={(event) => change({ moves: event.currentTarget.checked ? 1 : undefined })}
        />
        <CsvButton
          fileName={csvFileName('replay', `r${revision.number}`, scheduleId, logId)}
          columns={CSV_COLUMNS}
          rows={shown}
        />
      </FilterBar>
      {shown.length > 0 && (
        <DataTable label="Shifts that move" columns={columnsOf(logId)} rows={shown} rowId={moveId} />
      )}
    </>
  );
}

function moveId({ kind, recordedS, replayedS }: Move): string {
  return `${kind} ${recordedS} ${replayedS}`;
}

function columnsOf(logId: string): readonly DataColumn<Move>[] {
  const time = (seconds: number | null) => (seconds === null ? '–' : formatElapsed(seconds, 1));
  return [
    { id: 'kind', title: 'Shift', render: ({ kind }) => kind },
    { id: 'change', title: 'Change', render: ({ change }) => CHANGE_WORDS[change] },
    {
      id: 'before',
      title: 'Before, at',
      isNumber: true,
      render: ({ recordedS }) =>
        recordedS === null ? (
          '–'
        ) : (
          <TextLink
            to="/logs/$logId"
            params={{ logId }}
            search={{ from: Math.max(0, recordedS - 5), to: recordedS + 5 }}
          >
            {time(recordedS)}
          </TextLink>
        ),
    },
    { id: 'after', title: 'With this schedule, at', isNumber: true, render: ({ replayedS }) => time(replayedS) },
    {
      id: 'by',
      title: 'By',
      isNumber: true,
      render: ({ recordedS, replayedS }) =>
        recordedS === null || replayedS === null ? '–' : formatChange(replayedS - recordedS, 's', 1),
    },
    { id: 'pedal', title: 'Pedal', isNumber: true, render: ({ pedal }) => formatQuantity(pedal, '%', 0) },
    {
      id: 'speed',
      title: 'Output speed',
      isNumber: true,
      render: ({ outputSpeedRpm }) => formatQuantity(outputSpeedRpm, 'rpm'),
    },
  ];
}

const CSV_COLUMNS: readonly CsvColumn<Move>[] = [
  { header: 'shift', cell: ({ kind }) => kind },
  { header: 'change', cell: ({ change }) => change },
  { header: 'before (s)', cell: ({ recordedS }) => recordedS },
  { header: 'with this schedule (s)', cell: ({ replayedS }) => replayedS },
  { header: 'pedal (%)', cell: ({ pedal }) => pedal },
  { header: 'output speed (rpm)', cell: ({ outputSpeedRpm }) => outputSpeedRpm },
];

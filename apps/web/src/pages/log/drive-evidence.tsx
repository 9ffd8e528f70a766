import type { LogResponse, LogShiftsResponse } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useMemo } from 'react';
import { logQueries } from '../../api/logs.js';
import { QueryView } from '../../parts/query-view.js';
import { BlockSkeleton } from '../../parts/skeletons.js';
import { DriveSection } from './drive-section.js';
import { LockUpSection } from './lock-up-section.js';
import { momentsOf } from './marked-moments.js';
import { NotesSection } from './notes-section.js';
import { ShiftSection } from './shift-section.js';
import { ShiftsSection } from './shifts-section.js';
import { useDriveView } from './use-drive-view.js';

/** The evidence of one drive: its course, the chosen shift, all shifts, lock-up episodes, notes and marks. */
export function DriveEvidence({ log }: { readonly log: LogResponse }) {
  const found = useQuery(logQueries.shifts(log.id));
  return (
    <QueryView query={found} skeleton={<BlockSkeleton height={420} />}>
      {(events) => <Evidence log={log} events={events} />}
    </QueryView>
  );
}

function Evidence({ log, events }: { readonly log: LogResponse; readonly events: LogShiftsResponse }) {
  const view = useDriveView(log.durationS ?? 0, events.shifts);
  const notes = useQuery(logQueries.notes(log.id));
  const moments = useMemo(() => momentsOf(notes.data?.items ?? [], events.marks), [notes.data, events.marks]);
  return (
    <>
      <DriveSection log={log} shifts={events.shifts} moments={moments} view={view} />
      {view.chosen !== undefined && <ShiftSection log={log} shift={view.chosen} shifts={events.shifts} view={view} />}
      <ShiftsSection log={log} shifts={events.shifts} view={view} />
      <LockUpSection log={log} lockUps={events.lockUps} view={view} />
      <NotesSection log={log} marks={events.marks} view={view} />
    </>
  );
}

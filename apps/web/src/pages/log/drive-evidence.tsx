import type { LogResponse, MarkRow, ShiftRow } from '@syncline/contract';
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

const NO_SHIFTS: readonly ShiftRow[] = [];
const NO_MARKS: readonly MarkRow[] = [];

/**
 * The evidence of one drive: its course, the chosen shift, all shifts, lock-up episodes, notes and marks. The course is
 * drawn as soon as its signals are there and does not wait for what was found in them.
 */
export function DriveEvidence({ log }: { readonly log: LogResponse }) {
  const found = useQuery(logQueries.shifts(log.id));
  const { shifts = NO_SHIFTS, marks = NO_MARKS } = found.data ?? {};
  const view = useDriveView(log.durationS ?? 0, found.data?.shifts);
  const notes = useQuery(logQueries.notes(log.id));
  const moments = useMemo(() => momentsOf(notes.data?.items ?? [], marks), [notes.data, marks]);
  const { chosen, choose, zoom } = view;
  return (
    <>
      <DriveSection log={log} shifts={shifts} moments={moments} view={view} />
      <QueryView query={found} skeleton={<BlockSkeleton height={420} />}>
        {({ lockUps }) => (
          <>
            {chosen !== undefined && <ShiftSection log={log} shift={chosen} shifts={shifts} view={view} />}
            <ShiftsSection log={log} shifts={shifts} chosenId={chosen?.id} choose={choose} />
            <LockUpSection log={log} lockUps={lockUps} zoom={zoom} />
            <NotesSection log={log} marks={marks} view={view} />
          </>
        )}
      </QueryView>
    </>
  );
}

import { Button } from '@mantine/core';
import { type LogResponse, mayDo, type ShiftRow } from '@syncline/contract';
import { useSession } from '../../api/session.js';
import { formatElapsed } from '../../format/time.js';
import classes from './log.module.css';
import { NoteForm } from './note-form.js';
import type { DriveView } from './use-drive-view.js';

interface PointedMomentProps {
  readonly log: LogResponse;
  readonly atS: number;
  readonly shifts: readonly ShiftRow[];
  readonly view: DriveView;
}

/** The moment that was pointed at in the plots: the shift nearest to it, and room for a note. */
export function PointedMoment({ log, atS, shifts, view }: PointedMomentProps) {
  const { role } = useSession().person;
  const nearest = nearestShift(shifts, atS);
  return (
    <div className={classes.pointed} role="group" aria-label={`Moment ${formatElapsed(atS)}`}>
      <div className={classes.pointedHead}>
        <strong>At {formatElapsed(atS)}</strong>
        {nearest !== undefined && (
          <Button size="compact-sm" variant="default" onClick={() => view.choose(nearest.id)}>
            Nearest shift, {nearest.kind} at {formatElapsed(nearest.commandS, 1)}
          </Button>
        )}
        <Button size="compact-sm" variant="subtle" onClick={() => view.point(undefined)}>
          Let go
        </Button>
      </div>
      {mayDo(role, 'own:log:write') && (
        <NoteForm key={atS} logId={log.id} durationS={log.durationS ?? 0} initialAtS={atS} />
      )}
    </div>
  );
}

function nearestShift(shifts: readonly ShiftRow[], atS: number): ShiftRow | undefined {
  return shifts.reduce<ShiftRow | undefined>((best, shift) => {
    const isNearer = best === undefined || Math.abs(shift.commandS - atS) < Math.abs(best.commandS - atS);
    return isNearer ? shift : best;
  }, undefined);
}

import type { ShiftRow } from '@syncline/contract';
import { memo, useMemo } from 'react';
import { formatElapsed } from '../format/time.js';
import { GRADE_SHAPES, leadingGrade } from '../parts/grade-shapes.js';
import { AXIS_WIDTH_PX, RIGHT_ROOM_PX, type TimeRange, timeShare } from './plot-frame.js';
import { ShiftMarks } from './shift-marks.js';
import classes from './shift-strip.module.css';

interface ShiftStripProps {
  readonly shifts: readonly ShiftRow[];
  readonly range: TimeRange;
  readonly chosenId: string | undefined;
  readonly onChoose: (shiftId: string) => void;
}

/** The shifts of a drive over its time, each a shape by grade that opens it. Those that ask for attention lie on top. */
export const ShiftStrip = memo(({ shifts, range, chosenId, onChoose }: ShiftStripProps) => {
  const inView = useMemo(
    () => shifts.filter(({ commandS }) => commandS >= range.fromS && commandS <= range.toS),
    [shifts, range],
  );
  return (
    <div
      className={classes.strip}
      style={{ marginLeft: AXIS_WIDTH_PX + 1, marginRight: RIGHT_ROOM_PX + 1 }}
      role="group"
      aria-label="Shifts of this drive"
    >
      {inView.map((shift) => {
        const grade = leadingGrade(shift.grades);
        const looks = [classes.mark, grade === 'clean' && classes.plain, shift.isHunting && classes.hunting];
        return (
          <button
            key={shift.id}
            type="button"
            className={looks.filter(Boolean).join(' ')}
            style={{ left: `${100 * timeShare(shift.commandS, range)}%`, color: `var(${GRADE_SHAPES[grade].colour})` }}
            aria-current={shift.id === chosenId}
            aria-label={describe(shift)}
            title={describe(shift)}
            onClick={() => onChoose(shift.id)}
          />
        );
      })}
      <ShiftMarks shifts={inView} range={range} />
    </div>
  );
});

function describe({ kind, commandS, grades, isHunting }: ShiftRow): string {
  return `${kind} at ${formatElapsed(commandS, 1)}: ${grades.join(', ')}${isHunting ? ', hunting' : ''}`;
}

import { MarkShape } from '../parts/mark.js';
import classes from './moment-strip.module.css';
import { AXIS_WIDTH_PX, RIGHT_ROOM_PX, type TimeRange, timeShare } from './plot-frame.js';

/** A moment of the drive that somebody pointed at. */
export interface MarkedMoment {
  readonly id: string;
  readonly atS: number;
  readonly kind: 'note' | 'press';
  /** What it says, for hover and for readers that do not see it. */
  readonly words: string;
}

interface MomentStripProps {
  readonly moments: readonly MarkedMoment[];
  readonly range: TimeRange;
  readonly onChoose: (atS: number) => void;
}

/** Shapes in a box of 12 × 12: a flag for a note, a pressed button for a mark. */
const SHAPES = {
  note: { path: 'M2.5 11.5V1H10L7.6 3.7 10 6.4H2.5', isFilled: true },
  press: { path: 'M6 1.5a4.5 4.5 0 1 0 0.01 0ZM6 4.2a1.8 1.8 0 1 0 0.01 0Z', isFilled: false },
} as const;

/** Notes and presses of the marker button over the time of a drive, each a shape that leads to its moment. */
export function MomentStrip({ moments, range, onChoose }: MomentStripProps) {
  if (moments.length === 0) return null;
  const inView = moments.filter(({ atS }) => atS >= range.fromS && atS <= range.toS);
  return (
    <div
      className={classes.strip}
      style={{ marginLeft: AXIS_WIDTH_PX + 1, marginRight: RIGHT_ROOM_PX + 1 }}
      role="group"
      aria-label="Notes and marks of this drive"
    >
      {inView.map(({ id, atS, kind, words }) => (
        <button
          key={id}
          type="button"
          className={classes.moment}
          style={{ left: `${100 * timeShare(atS, range)}%` }}
          aria-label={words}
          title={words}
          onClick={() => onChoose(atS)}
        >
          <MarkShape {...SHAPES[kind]} />
        </button>
      ))}
    </div>
  );
}

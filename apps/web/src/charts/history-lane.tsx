import classes from './history-lane.module.css';
import type { HistoryRow } from './history-lanes.js';

interface HistoryLaneProps {
  readonly row: HistoryRow;
  /** Lanes of the whole history, so that all rows are equally wide. */
  readonly lanes: number;
  /** Brings an earlier revision back: a square in place of a dot. */
  readonly isRevert?: boolean;
}

/** Distance of two lanes, and of the dot from the top of its row (px). */
const LANE_PX = 18;
const DOT_PX = 19;
const DOT_RADIUS_PX = 5;

/** Width that the lanes of a history take (px). */
export function historyWidth(lanes: number): number {
  return lanes * LANE_PX + 6;
}

/**
 * One row of a branching history, as tall as its row happens to be: the dot, the lines from its children above, the
 * line to its parent below. Decoration: the row says its parent in words.
 */
export function HistoryLane({ row, lanes, isRevert = false }: HistoryLaneProps) {
  const at = (lane: number) => lane * LANE_PX + LANE_PX / 2 + 2;
  const x = at(row.lane);
  return (
    <svg className={classes.lanes} width={historyWidth(lanes)} aria-hidden="true">
      {row.passing.map((lane) => (
        <line key={lane} x1={at(lane)} x2={at(lane)} y1={0} y2="100%" />
      ))}
      {row.fromChildren.map((lane) => (
        <path key={lane} d={`M${at(lane)} 0C${at(lane)} ${DOT_PX * 0.7} ${x} ${DOT_PX * 0.3} ${x} ${DOT_PX}`} />
      ))}
      {row.hasParent && <line x1={x} x2={x} y1={DOT_PX} y2="100%" />}
      {row.toMergeParent !== null && <MergeLine from={x} to={at(row.toMergeParent)} />}
      {isRevert ? (
        <rect
          x={x - DOT_RADIUS_PX}
          y={DOT_PX - DOT_RADIUS_PX}
          width={2 * DOT_RADIUS_PX}
          height={2 * DOT_RADIUS_PX}
          className={row.fromChildren.length === 0 ? classes.tip : undefined}
        />
      ) : (
        <circle
          cx={x}
          cy={DOT_PX}
          r={DOT_RADIUS_PX}
          className={row.fromChildren.length === 0 ? classes.tip : undefined}
        />
      )}
    </svg>
  );
}

/** Leaves the dot for the lane of the second parent, and follows it to the foot of the row. */
function MergeLine({ from, to }: { readonly from: number; readonly to: number }) {
  const bend = DOT_PX + LANE_PX;
  return (
    <>
      <path d={`M${from} ${DOT_PX}C${from} ${bend - 4} ${to} ${DOT_PX + 4} ${to} ${bend}`} />
      <line x1={to} x2={to} y1={bend} y2="100%" />
    </>
  );
}

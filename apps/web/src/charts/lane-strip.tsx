import classes from './lane-strip.module.css';
import { AXIS_WIDTH_PX, RIGHT_ROOM_PX, type TimeRange, timeShare } from './plot-frame.js';

type LaneLook = 'full' | 'slipping' | 'filling';

export interface LaneSpan {
  readonly fromS: number;
  readonly toS: number;
  readonly look: LaneLook;
  readonly word: string;
}

export interface Lane {
  readonly id: string;
  readonly name: string;
  readonly title: string;
  readonly spans: readonly LaneSpan[];
}

interface LaneStripProps {
  readonly label: string;
  readonly lanes: readonly Lane[];
  readonly range: TimeRange;
  /** What each look means, in the order to list. */
  readonly looks: readonly { readonly look: LaneLook; readonly word: string }[];
}

/** States over time as lanes, aligned with the plots above: one look for each state, with words for all of them. */
export function LaneStrip({ label, lanes, range, looks }: LaneStripProps) {
  const columns = `${AXIS_WIDTH_PX + 1}px 1fr`;
  return (
    <div className={classes.strip} role="group" aria-label={label}>
      {lanes.map((lane) => (
        <div
          key={lane.id}
          className={classes.lane}
          style={{ gridTemplateColumns: columns, paddingRight: RIGHT_ROOM_PX + 1 }}
        >
          <span className={classes.name} title={lane.title}>
            {lane.name}
          </span>
          <span className={classes.track} role="img" aria-label={describe(lane)}>
            {lane.spans.map((span) => (
              <LaneBar key={`${span.fromS} ${span.look}`} span={span} range={range} />
            ))}
          </span>
        </div>
      ))}
      <div className={classes.key} style={{ paddingLeft: AXIS_WIDTH_PX + 1 }}>
        {looks.map(({ look, word }) => (
          <span key={look}>
            <span className={`${classes.keyBox} ${classes[look]}`} />
            {word}
          </span>
        ))}
      </div>
    </div>
  );
}

function LaneBar({ span, range }: { readonly span: LaneSpan; readonly range: TimeRange }) {
  const left = Math.max(0, timeShare(span.fromS, range));
  const right = Math.min(1, timeShare(span.toS, range));
  if (right <= left) return null;
  return (
    <span
      className={`${classes.span} ${classes[span.look]}`}
      style={{ left: `${100 * left}%`, width: `${100 * (right - left)}%` }}
      title={`${span.word}, ${(span.toS - span.fromS).toFixed(2)} s`}
    />
  );
}

function describe({ title, spans }: Lane): string {
  if (spans.length === 0) return `${title}: off`;
  return `${title}: ${spans.map(({ word, fromS, toS }) => `${word} from ${fromS.toFixed(2)} s to ${toS.toFixed(2)} s`).join(', ')}`;
}

import { formatDay, formatInstant } from '../format/time.js';

interface InstantProps {
  /** ISO 8601 with zone; null shows a dash. */
  readonly at: string | null;
  readonly precision?: 'minute' | 'day';
}

/** A moment with its zone. Hover gives it in UTC. */
export function Instant({ at, precision = 'minute' }: InstantProps) {
  if (at === null) return <span>–</span>;
  return (
    <time dateTime={at} title={at} style={{ whiteSpace: 'nowrap' }}>
      {precision === 'day' ? formatDay(at) : formatInstant(at)}
    </time>
  );
}

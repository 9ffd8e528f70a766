import type { LockUpRow, ReportResponse } from '@syncline/contract';
import { counted, formatCount } from '../../format/quantity.js';
import { formatElapsed } from '../../format/time.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { Section } from '../../parts/section.js';
import { TextLink } from '../../parts/text-link.js';
import { Value } from '../../parts/value.js';
import { VERDICT_WORDS } from '../log/lock-up-words.js';
import classes from './report.module.css';

/** Room around an episode in the drive plot (s). */
const ROOM_S = 3;

/** Closings of the converter clutch: a count by verdict, and those that ask for attention one by one. */
export function LockUpReport({ report: { lockUps, log } }: { readonly report: ReportResponse }) {
  const odd = lockUps.filter(({ verdict }) => verdict === 'slow' || verdict === 'notMade' || verdict === 'lost');
  return (
    <Section title="Converter lock-up">
      <p className={classes.story}>{tally(lockUps)}</p>
      {odd.length > 0 && (
        <DataTable
          label="Lock-up episodes that ask for attention"
          columns={columnsFor(log.id)}
          rows={odd}
          rowId={({ id }) => id}
        />
      )}
    </Section>
  );
}

function tally(lockUps: readonly LockUpRow[]): string {
  if (lockUps.length === 0) return 'The converter clutch was not closed in this drive, or the log cannot tell.';
  const counts = (Object.keys(VERDICT_WORDS) as LockUpRow['verdict'][])
    .map((verdict) => [verdict, lockUps.filter((episode) => episode.verdict === verdict).length] as const)
    .filter(([, count]) => count > 0)
    .map(([verdict, count]) => `${formatCount(count)} ${VERDICT_WORDS[verdict]}`);
  return `${counted(lockUps.length, 'episode')}: ${counts.join(', ')}.`;
}

function columnsFor(logId: string): readonly DataColumn<LockUpRow>[] {
  return [
    {
      id: 'at',
      title: 'Command',
      unit: 'min:s',
      render: ({ commandS, releasedS, madeS }) => (
        <TextLink
          to="/logs/$logId"
          params={{ logId }}
          search={{ from: Math.max(0, commandS - ROOM_S), to: (releasedS ?? madeS ?? commandS) + ROOM_S }}
        >
          {formatElapsed(commandS, 1)}
        </TextLink>
      ),
    },
    { id: 'verdict', title: 'Verdict', render: ({ verdict }) => VERDICT_WORDS[verdict] },
    { id: 'gear', title: 'Gear', isNumber: true, render: ({ gear }) => gear ?? '–' },
    { id: 'time', title: 'Time to lock', isNumber: true, render: (row) => <Value value={row.timeToLockS} unit="s" /> },
    {
      id: 'slip',
      title: 'Steady slip',
      isNumber: true,
      render: (row) => <Value value={row.steadySlipRpm} unit="rpm" />,
    },
    {
      id: 'judder',
      title: 'Judder, 5–15 Hz',
      isNumber: true,
      render: (row) => <Value value={row.judderRpm} unit="rpm" digits={1} />,
    },
  ];
}

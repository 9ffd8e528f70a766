import { VisuallyHidden } from '@mantine/core';
import type { CalibrationResponse } from '@syncline/contract';
import { historyRows, laneCount } from '../../charts/history-lanes.js';
import { csvFileName } from '../../format/csv.js';
import { endOf } from '../../format/rate-columns.js';
import { CsvButton } from '../../parts/csv-button.js';
import { HelpTerm } from '../../parts/help-term.js';
import { Section } from '../../parts/section.js';
import { BeginMenu, type Beginning } from './begin-menu.js';
import classes from './history.module.css';
import { HISTORY_CSV_COLUMNS } from './history-csv.js';
import { HistoryEntry } from './history-entry.js';
import { linesOf } from './lines.js';

const SMALLEST_SCALE = 0.1;

interface HistorySectionProps {
  readonly calibration: CalibrationResponse;
  /** Begins something from a revision; undefined for those who only read. */
  readonly onBegin: ((beginning: Beginning) => void) | undefined;
}

/** The revisions as a branching history, newest on top, each with its outcome and who runs it. */
export function HistorySection({ calibration, onBegin }: HistorySectionProps) {
  const numberOf = (id: string | null) => calibration.revisions.find((revision) => revision.id === id)?.number ?? null;
  const hasLines = linesOf(calibration).length > 1;
  const newestFirst = [...calibration.revisions].sort((a, b) => b.number - a.number);
  const rows = historyRows(newestFirst);
  const lanes = laneCount(rows);
  const barMax = Math.max(
    SMALLEST_SCALE,
    ...newestFirst.flatMap(({ outcome }) =>
      [outcome.flare, outcome.tieUp, outcome.harsh].map((rate) => endOf(rate, 'high') ?? 0),
    ),
  );
  return (
    <Section
      title="Revisions"
      note={
        <>
          Newest on top, a line leads down to the revision that each was made from; a merge has two, a square brings an
          earlier one back. Rates are over every shift driven with it, with{' '}
          <HelpTerm term="interval">95 % intervals</HelpTerm>.
        </>
      }
      actions={
        <CsvButton
          fileName={csvFileName('calibration', calibration.title, 'revisions')}
          columns={HISTORY_CSV_COLUMNS}
          rows={newestFirst}
        />
      }
    >
      {/* Roles are written out because the card layout changes `display`, which takes them away. */}
      <table className={classes.history} role="table" aria-label="Revisions">
        <thead role="rowgroup">
          <tr role="row">
            <th role="columnheader" scope="col">
              <VisuallyHidden>Line of descent</VisuallyHidden>
            </th>
            {['Revision', 'Review', 'Runs in', 'Flare', 'Tie-up', 'Harsh', 'Go to'].map((head) => (
              <th key={head} role="columnheader" scope="col">
                {head}
              </th>
            ))}
          </tr>
        </thead>
        <tbody role="rowgroup">
          {newestFirst.map((revision, index) => (
            <HistoryEntry
              key={revision.id}
              revision={revision}
              row={rows[index]}
              lanes={lanes}
              cars={calibration.installations.filter(({ revisionId }) => revisionId === revision.id)}
              barMax={barMax}
              mergedNumber={numberOf(revision.mergeParentId)}
              revertedNumber={numberOf(revision.revertsId)}
              hasLines={hasLines}
              actions={onBegin && <BeginMenu calibration={calibration} revision={revision} onBegin={onBegin} />}
            />
          ))}
        </tbody>
      </table>
    </Section>
  );
}

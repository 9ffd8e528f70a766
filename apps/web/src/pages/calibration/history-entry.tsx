import type { CalibrationResponse, Rate } from '@syncline/contract';
import type { ReactNode } from 'react';
import { HistoryLane, historyWidth } from '../../charts/history-lane.js';
import type { HistoryRow } from '../../charts/history-lanes.js';
import { counted } from '../../format/quantity.js';
import { GradeMark } from '../../parts/grade-mark.js';
import { Instant } from '../../parts/instant.js';
import { RateCell } from '../../parts/rate-cell.js';
import { TextLink } from '../../parts/text-link.js';
import { ReviewMark } from '../review/review-mark.js';
import classes from './history.module.css';
import type { HistoryRevision } from './history-revision.js';

type Installation = CalibrationResponse['installations'][number];

interface HistoryEntryProps {
  readonly revision: HistoryRevision;
  readonly row: HistoryRow | undefined;
  readonly lanes: number;
  /** Cars that run the revision now. */
  readonly cars: readonly Installation[];
  readonly barMax: number;
  /** Number of the revision that this one brings back, if it does. */
  readonly revertedNumber: number | null;
  readonly mergedNumber: number | null;
  /** Whether the calibration has more than one line, so that each is named. */
  readonly hasLines: boolean;
  /** What can be begun from it; null for those who only read. */
  readonly actions: ReactNode;
}

/** Names of cars that are written out; the rest is counted. */
const NAMED_CARS = 3;

/** One revision in the history of its calibration. */
export function HistoryEntry(props: HistoryEntryProps) {
  const { revision, row, lanes, cars, barMax, revertedNumber, actions } = props;
  const { outcome } = revision;
  return (
    <tr role="row">
      <td role="cell" className={classes.lanes} style={{ minWidth: historyWidth(lanes), width: historyWidth(lanes) }}>
        {row !== undefined && <HistoryLane row={row} lanes={lanes} isRevert={revertedNumber !== null} />}
      </td>
      <td role="cell" className={classes.what}>
        <RevisionWords {...props} />
      </td>
      <td role="cell" className={classes.state}>
        <ReviewMark state={revision.reviewState} />
      </td>
      <td role="cell" className={classes.cars}>
        <Cars revision={revision} cars={cars} />
      </td>
      <RateColumn grade="flare" rate={outcome.flare} barMax={barMax} />
      <RateColumn grade="tie-up" rate={outcome.tieUp} barMax={barMax} />
      <RateColumn grade="harsh" rate={outcome.harsh} barMax={barMax} />
      <td role="cell" className={classes.links}>
        <TextLink to="/revisions/$revisionId" params={{ revisionId: revision.id }}>
          Tables
        </TextLink>
        {revision.parentId !== null && (
          <TextLink to="/compare" search={{ base: revision.parentId, other: revision.id }}>
            Compare with parent
          </TextLink>
        )}
        <TextLink to="/shifts" search={{ revision: revision.id }}>
          {counted(revision.shiftCount, 'shift')}
        </TextLink>
        {actions}
      </td>
    </tr>
  );
}

function RevisionWords({ revision, revertedNumber, mergedNumber, hasLines }: HistoryEntryProps) {
  const { id, number, message, authorName, createdAt, parentNumber, line } = revision;
  return (
    <>
      <TextLink to="/revisions/$revisionId" params={{ revisionId: id }} fw={600}>
        r{number}
      </TextLink>{' '}
      {hasLines && <span className={classes.line}>{line}</span>} {message}
      <div className={classes.soft}>
        {authorName}, <Instant at={createdAt} /> ·{' '}
        {parentNumber === null ? 'first of its line' : `from r${parentNumber}`}
        {mergedNumber !== null && ` and r${mergedNumber}, merged`}
        {revertedNumber !== null && `, brings r${revertedNumber} back`}
      </div>
    </>
  );
}

function Cars({ revision, cars }: Pick<HistoryEntryProps, 'revision' | 'cars'>) {
  if (cars.length === 0) return <span className={classes.soft}>no car</span>;
  const named = cars.slice(0, NAMED_CARS).map(({ vehicleTitle }) => vehicleTitle);
  const rest = cars.length - named.length;
  return (
    <>
      <TextLink
        to="/calibrations/$calibrationId"
        params={{ calibrationId: revision.calibrationId }}
        search={{ runs: revision.id }}
        resetScroll={false}
      >
        {counted(cars.length, 'car')}
      </TextLink>
      <div className={classes.soft}>
        {named.join(', ')}
        {rest > 0 && ` and ${rest} more`}
      </div>
    </>
  );
}

interface RateColumnProps {
  readonly grade: 'flare' | 'tie-up' | 'harsh';
  readonly rate: Rate;
  readonly barMax: number;
}

/** A rate; on narrow screens, where the column heads are gone, with its name. */
function RateColumn({ grade, rate, barMax }: RateColumnProps) {
  return (
    <td role="cell" className={classes.rate}>
      <span className="only-narrow">
        <GradeMark grade={grade} />
      </span>
      <RateCell rate={rate} barMax={barMax} />
    </td>
  );
}

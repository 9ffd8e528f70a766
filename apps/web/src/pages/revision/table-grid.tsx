import type { Comment, Finding } from '@syncline/contract';
import { useNavigate } from '@tanstack/react-router';
import { type GridPlace, positionOf } from '../../charts/grid-place.js';
import { RampKey } from '../../charts/ramp-key.js';
import { type GridCell, ValueGrid } from '../../charts/value-grid.js';
import { counted, formatNumber, formatQuantity, fullValue } from '../../format/quantity.js';
import { describeRate, formatShare } from '../../format/rate.js';
import { GRADE_SHAPES } from '../../parts/grade-shapes.js';
import { cssColour, inkOn, sequentialColour } from '../../theme/palette.js';
import { type CellEvidence, type EvidenceAt, rateOf } from './evidence.js';
import classes from './revision.module.css';
import { shiftsNear } from './shifts-near.js';
import { placeName, type TableView } from './table-view.js';
import { useRevisionView } from './use-revision-view.js';

interface TableGridProps {
  readonly view: TableView;
  readonly place: GridPlace;
  readonly evidence: EvidenceAt;
  readonly findings: readonly Finding[];
  /** Open comments on cells of this variant. */
  readonly comments: readonly Comment[];
}

type Measure = 'flare' | 'tie-up';

/** Values of a table on its break points, shaded by value, with the evidence of each cell. */
export function TableGrid({ view, place: chosen, evidence, findings, comments }: TableGridProps) {
  const { revisionId, search, change } = useRevisionView();
  const navigate = useNavigate();
  const measure = search.evidence ?? 'flare';
  const open = (place: GridPlace) => {
    const { spec, variant } = view;
    const near = shiftsNear(spec, breakpointsOf(view), variant, place);
    void navigate({ to: '/shifts', search: { revision: revisionId, ...near.search } });
  };
  return (
    <>
      <ValueGrid
        label={`${view.name}${view.unit === '' ? '' : `, ${view.unit}`}`}
        rowAxis={view.rowAxis}
        columnAxis={view.columnAxis}
        chosen={chosen}
        onChoose={(place) => change(place)}
        onOpen={open}
        cellAt={(place) => {
          const cell = cellOf(view, place, evidence(place), measure, findings);
          const count = commentsAt(comments, place).length;
          if (count === 0) return cell;
          return { ...cell, isCommented: true, description: `${cell.description}; ${counted(count, 'comment')}` };
        }}
      />
      <GridKey view={view} measure={measure} hasComments={comments.length > 0} />
    </>
  );
}

function cellOf(
  view: TableView,
  place: GridPlace,
  evidence: CellEvidence | undefined,
  measure: Measure | 'none',
  findings: readonly Finding[],
): GridCell {
  const value = view.values[positionOf(place, view.size)] as number;
  const [low, high] = view.extent;
  const colour = high > low ? sequentialColour((value - low) / (high - low)) : undefined;
  const found = findings.filter(({ cell }) => cell !== null && cell.row === place.row && cell.column === place.column);
  const rate = measure === 'none' || evidence === undefined ? undefined : rateOf(evidence, measure);
  const parts = [
    placeName(view, place),
    formatQuantity(value, view.unit, view.digits),
    rate && describeRate(rate, measure),
    ...found.map(({ message }) => message),
  ];
  return {
    text: formatNumber(value, view.digits),
    note: rate && <EvidenceNote evidence={evidence as CellEvidence} measure={measure as Measure} />,
    background: colour === undefined ? 'var(--surface)' : cssColour(colour),
    ink: colour === undefined ? 'var(--ink)' : inkOn(colour),
    isHatched: rate?.kind === 'insufficient',
    isNotched: found.length > 0,
    description: parts.filter(Boolean).join('; '),
    title: fullValue(value, view.unit),
  };
}

/** The rate of a cell behind the shape of its grade, or how many shifts there are of those needed. */
function EvidenceNote({ evidence, measure }: { readonly evidence: CellEvidence; readonly measure: Measure }) {
  const rate = rateOf(evidence, measure);
  if (rate.kind === 'insufficient')
    return evidence.shifts === 0 ? 'none' : `${evidence.shifts} of ${rate.neededShifts}`;
  return (
    <>
      <svg viewBox="0 0 12 12" className={classes.noteShape} aria-hidden="true">
        <path d={GRADE_SHAPES[measure].path} fill="currentColor" />
      </svg>{' '}
      {formatShare(rate.rate)}
    </>
  );
}

interface GridKeyProps {
  readonly view: TableView;
  readonly measure: Measure | 'none';
  readonly hasComments: boolean;
}

function GridKey({ view, measure, hasComments }: GridKeyProps) {
  const [low, high] = view.extent;
  return (
    <div className={classes.key}>
      {high > low && (
        <RampKey
          low={formatQuantity(low, '', view.digits)}
          high={formatQuantity(high, view.unit, view.digits)}
          colourAt={sequentialColour}
        />
      )}
      {hasComments && (
        <span>
          <span className={classes.keyDot} /> open comment
        </span>
      )}
      {measure !== 'none' && (
        <>
          <span>
            <svg viewBox="0 0 12 12" className={classes.noteShape} aria-hidden="true">
              <path d={GRADE_SHAPES[measure].path} fill="currentColor" />
            </svg>{' '}
            {measure} rate of the shifts nearest to the cell
          </span>
          <span>
            <span className={`${classes.keyBox} hatched`} /> too few shifts: “none”, “4 of 10”
          </span>
        </>
      )}
    </div>
  );
}

/** Comments on one cell. */
export function commentsAt(comments: readonly Comment[], { row, column }: GridPlace): Comment[] {
  return comments.filter(({ cell }) => cell !== null && cell.row === row && cell.column === column);
}

/** Break points of a table, the slow axis first. */
export function breakpointsOf({ rowAxis, columnAxis }: TableView): (readonly number[])[] {
  return [rowAxis, columnAxis].flatMap((axis) => (axis === undefined ? [] : [axis.breakpoints]));
}

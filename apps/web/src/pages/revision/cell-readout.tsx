import { type GridPlace, positionOf } from '../../charts/grid-place.js';
import { counted } from '../../format/quantity.js';
import { endOf } from '../../format/rate-columns.js';
import { GradeMark } from '../../parts/grade-mark.js';
import { HelpTerm } from '../../parts/help-term.js';
import { RateCell } from '../../parts/rate-cell.js';
import { TextLink } from '../../parts/text-link.js';
import { Value } from '../../parts/value.js';
import type { CellEvidence, EvidenceAt } from './evidence.js';
import classes from './revision.module.css';
import { shiftsNear } from './shifts-near.js';
import { breakpointsOf } from './table-grid.js';
import { placeName, type TableView } from './table-view.js';
import { useRevisionView } from './use-revision-view.js';

const SMALLEST_SCALE = 0.2;

interface CellReadoutProps {
  readonly view: TableView;
  readonly place: GridPlace;
  readonly evidence: EvidenceAt;
  /** Whether the evidence could not be read; it is on its way otherwise. */
  readonly isFailed: boolean;
}

/** The chosen cell in full: its place, its value, and what drives say of it. */
export function CellReadout({ view, place, evidence, isFailed }: CellReadoutProps) {
  const value = view.values[positionOf(place, view.size)];
  const where = placeName(view, place);
  const found = evidence(place);
  return (
    <aside className={classes.readout} aria-label={`Chosen cell of ${view.name}`}>
      <h4>{where === '' ? view.name : where}</h4>
      <div className={classes.bigValue}>
        <Value value={value} unit={view.unit} digits={view.digits} />
      </div>
      {found === undefined ? (
        <p className={classes.small}>{isFailed ? 'The evidence could not be read.' : 'The evidence is on its way.'}</p>
      ) : (
        <CellRates view={view} evidence={found} />
      )}
    </aside>
  );
}

function CellRates({ view, evidence }: { readonly view: TableView; readonly evidence: CellEvidence }) {
  const { revisionId } = useRevisionView();
  const { search, isExact } = shiftsNear(view.spec, breakpointsOf(view), view.variant, evidence);
  const barMax = Math.max(SMALLEST_SCALE, endOf(evidence.flare, 'high') ?? 0, endOf(evidence.tieUp, 'high') ?? 0);
  return (
    <>
      <p className={classes.small}>
        {counted(evidence.shifts, 'shift')} in {counted(evidence.vehicles, 'car')} nearest to this cell, with their{' '}
        <HelpTerm term="interval">95 % interval</HelpTerm>.
      </p>
      <dl className={classes.rates}>
        <dt>
          <GradeMark grade="flare" />
        </dt>
        <dd>
          <RateCell rate={evidence.flare} barMax={barMax} />
        </dd>
        <dt>
          <GradeMark grade="tie-up" />
        </dt>
        <dd>
          <RateCell rate={evidence.tieUp} barMax={barMax} />
        </dd>
      </dl>
      {evidence.shifts > 0 && (
        <p className={classes.small}>
          <TextLink to="/shifts" search={{ revision: revisionId, ...search }}>
            {isExact ? 'Open these shifts' : 'Open the shifts around it'}
          </TextLink>
          {!isExact && ' (the list cannot be narrowed to this cell alone)'}
        </p>
      )}
    </>
  );
}

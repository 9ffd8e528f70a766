import type { Finding } from '@syncline/contract';
import { positionOf } from '../../charts/grid-place.js';
import { counted, formatChange, formatNumber, formatQuantity } from '../../format/quantity.js';
import { Value } from '../../parts/value.js';
import { FindingText } from '../revision/table-findings.js';
import { placeName } from '../revision/table-view.js';
import classes from './draft.module.css';
import { cellCount, rectangleOf } from './model/grid-selection.js';
import type { DraftEditor } from './use-draft-editor.js';

interface CellReadoutProps {
  readonly editor: DraftEditor;
  readonly parentValues: readonly number[] | null;
  readonly findings: readonly Finding[];
}

/** The active cell in full: place, value, what the parent had, what is allowed, what was found. */
export function CellReadout({ editor, parentValues, findings }: CellReadoutProps) {
  const { view, place } = editor;
  const { spec, unit, digits } = view;
  const { active } = place.selection;
  const position = positionOf(active, view.size);
  const value = view.values[position] as number;
  const before = parentValues?.[position];
  const where = placeName(view, active);
  const count = cellCount(rectangleOf(place.selection));
  const found = findings.filter(
    ({ tableId, variant, cell }) =>
      tableId === place.tableId &&
      (variant === null || variant === place.variant) &&
      cell?.row === active.row &&
      cell.column === active.column,
  );
  return (
    <aside className={classes.readout} aria-label={`Active cell of ${view.name}`}>
      <h4>{where === '' ? view.name : where}</h4>
      <div className={classes.bigValue}>
        <Value value={value} unit={unit} digits={digits} />
      </div>
      <dl className={classes.facts}>
        <div>
          <dt>Parent</dt>
          <dd>{before === undefined ? 'none' : formatQuantity(before, unit, digits)}</dd>
        </div>
        {before !== undefined && before !== value && (
          <div>
            <dt>Change</dt>
            <dd>
              {formatChange(value - before, unit, digits)}
              {before !== 0 && ` (${formatChange((100 * (value - before)) / Math.abs(before), '%', 1)})`}
            </dd>
          </div>
        )}
        <div>
          <dt>Allowed</dt>
          <dd>
            {formatNumber(spec.limits.min, digits)} to {formatQuantity(spec.limits.max, unit, digits)}
          </dd>
        </div>
        {count > 1 && (
          <div>
            <dt>Selected</dt>
            <dd>{counted(count, 'cell')}</dd>
          </div>
        )}
      </dl>
      {found.length > 0 && (
        <ul className={classes.cellFindings}>
          {found.map((finding) => (
            <li key={`${finding.code} ${finding.message}`}>
              <FindingText finding={finding} />
            </li>
          ))}
        </ul>
      )}
    </aside>
  );
}

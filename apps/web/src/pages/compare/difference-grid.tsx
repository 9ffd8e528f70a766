import type { GridAxis } from '../../charts/grid-axis.js';
import { type GridPlace, type GridSize, positionOf } from '../../charts/grid-place.js';
import { RampKey } from '../../charts/ramp-key.js';
import { type GridCell, ValueGrid } from '../../charts/value-grid.js';
import { formatChange, formatQuantity, fullValue } from '../../format/quantity.js';
import { type ColourScheme, cssColour, divergingColour, inkOn } from '../../theme/palette.js';
import { useScheme } from '../../theme/use-scheme.js';
import { placeName } from '../revision/table-view.js';
import classes from './compare.module.css';
import type { ChangeKind } from './compare-search.js';
import type { PairLabels } from './pair-labels.js';

/** Two grids of values on the same axes, and how the second departs from the first. */
export interface GridDifference {
  readonly name: string;
  readonly rowAxis: GridAxis | undefined;
  readonly columnAxis: GridAxis | undefined;
  readonly size: GridSize;
  readonly base: readonly number[];
  readonly other: readonly number[];
  readonly absolute: readonly number[];
  readonly percent: readonly (number | null)[];
  readonly unit: string;
  readonly digits: number;
}

interface DifferenceGridProps {
  readonly difference: GridDifference;
  readonly kind: ChangeKind;
  readonly labels: PairLabels;
  readonly chosen: GridPlace;
  readonly onChoose: (place: GridPlace) => void;
}

/** The change in each cell, blue for less and orange for more, the middle of the ramp at 0. */
export function DifferenceGrid({ difference, kind, labels, chosen, onChoose }: DifferenceGridProps) {
  const scheme = useScheme();
  const changes = kind === 'absolute' ? difference.absolute : difference.percent;
  const reach = Math.max(0, ...changes.map((change) => Math.abs(change ?? 0)));
  return (
    <>
      <ValueGrid
        label={`${difference.name}, change ${kind === 'absolute' ? difference.unit : '%'}`}
        rowAxis={difference.rowAxis}
        columnAxis={difference.columnAxis}
        chosen={chosen}
        onChoose={onChoose}
        cellAt={(place) => cellOf({ difference, kind, labels, place, reach, scheme })}
      />
      {reach > 0 && (
        <div className={classes.key}>
          <RampKey
            low={changeText(difference, kind, -reach)}
            high={changeText(difference, kind, reach)}
            colourAt={(share) => divergingColour(2 * share - 1, scheme)}
          />
          <span>
            {labels.other} minus {labels.base}; the middle is no change
          </span>
        </div>
      )}
    </>
  );
}

interface CellContext {
  readonly difference: GridDifference;
  readonly kind: ChangeKind;
  readonly labels: PairLabels;
  readonly place: GridPlace;
  /** Change that has the full colour. */
  readonly reach: number;
  readonly scheme: ColourScheme;
}

function cellOf({ difference, kind, labels, place, reach, scheme }: CellContext): GridCell {
  const { unit, digits } = difference;
  const at = positionOf(place, difference.size);
  const change = (kind === 'absolute' ? difference.absolute[at] : difference.percent[at]) ?? null;
  const colour = divergingColour(reach === 0 || change === null ? 0 : change / reach, scheme);
  const value = (of: readonly number[]) => formatQuantity(of[at], unit, digits);
  return {
    text: change === 0 ? '0' : changeText({ ...difference, unit: '' }, kind, change).replace('\u202f%', ''),
    background: cssColour(colour),
    ink: inkOn(colour),
    isHatched: change === null,
    description: [
      placeName(difference, place),
      change === null ? 'no share, the base is 0' : `change ${changeText(difference, kind, change)}`,
      `${labels.base} ${value(difference.base)}`,
      `${labels.other} ${value(difference.other)}`,
    ]
      .filter(Boolean)
      .join('; '),
    title: fullValue(change, kind === 'absolute' ? unit : '%'),
  };
}

/** A change in the unit that the switch asks for. */
function changeText(
  { unit, digits }: Pick<GridDifference, 'unit' | 'digits'>,
  kind: ChangeKind,
  change: number | null,
): string {
  return kind === 'absolute' ? formatChange(change, unit, digits) : formatChange(change, '%', 1);
}

/** The chosen cell in full: both values, and the change in both forms. */
export function DifferenceReadout({ difference, labels, place }: Pick<CellContext, 'difference' | 'labels' | 'place'>) {
  const { unit, digits } = difference;
  const at = positionOf(place, difference.size);
  const where = placeName(difference, place);
  const rows = [
    [labels.base, formatQuantity(difference.base[at], unit, digits)],
    [labels.other, formatQuantity(difference.other[at], unit, digits)],
    ['Change', changeText(difference, 'absolute', difference.absolute[at] ?? null)],
    ['Share of the base', changeText(difference, 'percent', difference.percent[at] ?? null)],
  ] as const;
  return (
    <aside className={classes.readout} aria-label={`Chosen cell of ${difference.name}`}>
      <h4>{where === '' ? difference.name : where}</h4>
      <dl className={classes.facts}>
        {rows.map(([word, text]) => (
          <div key={word}>
            <dt>{word}</dt>
            <dd>{text}</dd>
          </div>
        ))}
      </dl>
    </aside>
  );
}

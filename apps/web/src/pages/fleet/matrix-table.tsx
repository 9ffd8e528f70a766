import { VisuallyHidden } from '@mantine/core';
import type { Band } from '@syncline/contract';
import { Link } from '@tanstack/react-router';
import { useScheme } from '../../theme/use-scheme.js';
import type { ShiftsSearch } from '../shifts/shifts-search.js';
import { moveFocusByArrow } from './arrow-keys.js';
import { type FleetView, shiftsBehind } from './fleet-view.js';
import classes from './matrix.module.css';
import { cellLook, colourScale } from './matrix-colour.js';
import { type FleetMatrix, hasLimits, type MatrixFigure } from './matrix-figure.js';

interface MatrixTableProps {
  readonly matrix: FleetMatrix;
  readonly view: FleetView;
  readonly fluidTemperature: Band | undefined;
  /** Hears what is under the pointer or the focus, in words; null when nothing is. */
  readonly onPoint: (text: string | null) => void;
}

/** Shifts by load: each cell has figure and evidence, and opens the shifts behind it. */
export function MatrixTable({ matrix, view, fluidTemperature, onPoint }: MatrixTableProps) {
  const scheme = useScheme();
  const scale = colourScale([matrix]);
  const { word, loadBands, rows } = matrix;
  const cell = (figure: MatrixFigure, { kind, load }: { kind: string; load?: Band }) => (
    <MatrixCell
      figure={figure}
      place={load === undefined ? `${kind}, all loads` : `${kind}, load ${load.label}`}
      word={word.toLowerCase()}
      search={load === undefined || hasLimits(load) ? shiftsBehind(view, { kind, load, fluidTemperature }) : undefined}
      onPoint={onPoint}
    />
  );
  return (
    <table className={classes.matrix} onKeyDown={moveFocusByArrow} onMouseLeave={() => onPoint(null)}>
      <caption hidden>
        {word}
        {matrix.isRate && ' rate'} by shift and load
      </caption>
      <thead>
        <tr>
          <th scope="col" className={classes.corner}>
            Shift
          </th>
          <th scope="col">All loads</th>
          {loadBands.map(({ index, label }) => (
            <th key={index} scope="col">
              {label}
            </th>
          ))}
        </tr>
      </thead>
      <tbody>
        {rows.map(({ kind, total, cells }) => (
          <tr key={kind}>
            <th scope="row">{kind}</th>
            <td className={`${classes.cell} ${classes.total}`}>{cell(total, { kind })}</td>
            {loadBands.map((load) => {
              const figure = cells.get(load.index);
              if (figure === undefined) return <td key={load.index} className={`${classes.cell} hatched`} />;
              const { background, ink, isHatched } = cellLook(figure, scale, scheme);
              return (
                <td
                  key={load.index}
                  className={`${classes.cell} ${isHatched ? 'hatched' : ''}`}
                  style={{ backgroundColor: background, color: ink }}
                >
                  {cell(figure, { kind, load })}
                </td>
              );
            })}
          </tr>
        ))}
      </tbody>
    </table>
  );
}

interface MatrixCellProps {
  readonly figure: MatrixFigure;
  /** Shift and load, in words. */
  readonly place: string;
  readonly word: string;
  /** Undefined where the shifts behind cannot be filtered for: the load was not logged. */
  readonly search: ShiftsSearch | undefined;
  readonly onPoint: (text: string | null) => void;
}

/** The hidden words make the link read as a sentence around the figures that are seen. */
function MatrixCell({ figure, place, word, search, onPoint }: MatrixCellProps) {
  const point = () => onPoint(figure.describe(place));
  const words = (
    <>
      <VisuallyHidden>
        {place}: {word}
      </VisuallyHidden>
      <span className={classes.rate}>{figure.main}</span>
      <span className={classes.count}>{figure.side}</span>
      <VisuallyHidden>{figure.spoken}</VisuallyHidden>
    </>
  );
  if (search === undefined) {
    return (
      <span className={classes.plain} onMouseEnter={point}>
        {words}
      </span>
    );
  }
  return (
    <Link
      to="/shifts"
      search={search}
      className={classes.link ?? ''}
      onMouseEnter={point}
      onFocus={point}
      onBlur={() => onPoint(null)}
    >
      {words}
    </Link>
  );
}

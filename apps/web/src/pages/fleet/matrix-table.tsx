import { VisuallyHidden } from '@mantine/core';
import type { Band, MatrixResponse, Rate } from '@syncline/contract';
import { Link } from '@tanstack/react-router';
import { formatCount } from '../../format/quantity.js';
import { describeRate, formatInterval, formatShare, shortfall } from '../../format/rate.js';
import { MEASURE_WORDS } from '../../format/words.js';
import { useScheme } from '../../theme/use-scheme.js';
import type { ShiftsSearch } from '../shifts/shifts-search.js';
import { moveFocusByArrow } from './arrow-keys.js';
import { type FleetView, shiftsBehind } from './fleet-view.js';
import classes from './matrix.module.css';
import { cellLook, scaleEnd } from './matrix-colour.js';

interface MatrixTableProps {
  readonly matrix: MatrixResponse;
  readonly view: FleetView;
  readonly fluidTemperature: Band | undefined;
  /** Hears what is under the pointer or the focus, in words; null when nothing is. */
  readonly onPoint: (text: string | null) => void;
}

/** Shifts by load: each cell has rate and count, and opens the shifts behind it. */
export function MatrixTable({ matrix, view, fluidTemperature, onPoint }: MatrixTableProps) {
  const scheme = useScheme();
  const end = scaleEnd(matrix);
  const word = MEASURE_WORDS[matrix.measure];
  const cell = (rate: Rate, { kind, load }: { kind: string; load?: Band }) => (
    <MatrixCell
      rate={rate}
      place={load === undefined ? `${kind}, all loads` : `${kind}, load ${load.label}`}
      measureWord={word.toLowerCase()}
      search={shiftsBehind(view, { kind, load, fluidTemperature })}
      onPoint={onPoint}
    />
  );
  return (
    <table className={classes.matrix} onKeyDown={moveFocusByArrow} onMouseLeave={() => onPoint(null)}>
      <caption hidden>{word} rate by shift and load</caption>
      <thead>
        <tr>
          <th scope="col" className={classes.corner}>
            Shift
          </th>
          <th scope="col">All loads</th>
          {matrix.loadBands.map(({ index, label }) => (
            <th key={index} scope="col">
              {label}
            </th>
          ))}
        </tr>
      </thead>
      <tbody>
        {matrix.rows.map(({ kind, total, cells }) => (
          <tr key={kind}>
            <th scope="row">{kind}</th>
            <td className={`${classes.cell} ${classes.total}`}>{cell(total, { kind })}</td>
            {matrix.loadBands.map((load) => {
              const rate = cells.find((entry) => entry.loadBand === load.index)?.rate;
              if (rate === undefined) return <td key={load.index} className={`${classes.cell} hatched`} />;
              const { background, ink, isHatched } = cellLook(rate, end, scheme);
              return (
                <td
                  key={load.index}
                  className={`${classes.cell} ${isHatched ? 'hatched' : ''}`}
                  style={{ backgroundColor: background, color: ink }}
                >
                  {cell(rate, { kind, load })}
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
  readonly rate: Rate;
  /** Shift and load, in words. */
  readonly place: string;
  readonly measureWord: string;
  readonly search: ShiftsSearch;
  readonly onPoint: (text: string | null) => void;
}

/** The hidden words make the link read as a sentence around the figures that are seen. */
function MatrixCell({ rate, place, measureWord, search, onPoint }: MatrixCellProps) {
  const point = () => onPoint(`${place}: ${describeRate(rate, measureWord)}`);
  const isKnown = rate.kind === 'estimate';
  return (
    <Link
      to="/shifts"
      search={search}
      className={classes.link ?? ''}
      onMouseEnter={point}
      onFocus={point}
      onBlur={() => onPoint(null)}
    >
      <VisuallyHidden>
        {place}: {measureWord}
      </VisuallyHidden>
      <span className={classes.rate}>{isKnown ? formatShare(rate.rate) : '–'}</span>
      <span className={classes.count}>{isKnown ? `of ${formatCount(rate.shifts)}` : shortfall(rate)}</span>
      <VisuallyHidden>
        {isKnown ? `shifts, interval ${formatInterval(rate.low, rate.high)}` : 'that are needed'}
      </VisuallyHidden>
    </Link>
  );
}

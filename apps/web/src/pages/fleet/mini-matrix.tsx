import type { CellLook } from './matrix-colour.js';
import type { FleetMatrix, MatrixFigure } from './matrix-figure.js';
import classes from './temperature.module.css';

interface MiniMatrixProps {
  readonly matrix: FleetMatrix;
  /** The rows, also those that this matrix lacks. */
  readonly kinds: readonly string[];
  readonly lookOf: (figure: MatrixFigure) => CellLook;
}

/** A matrix as colours alone. Decoration: the same figures stand in a table beside it. */
export function MiniMatrix({ matrix: { loadBands, rows }, kinds, lookOf }: MiniMatrixProps) {
  const byKind = new Map(rows.map((row) => [row.kind, row.cells]));
  return (
    <span
      className={classes.mini}
      style={{ gridTemplateColumns: `auto repeat(${loadBands.length}, minmax(0, 1fr))` }}
      aria-hidden="true"
    >
      {kinds.map((kind) => [
        <span key={kind} className={classes.kind}>
          {kind}
        </span>,
        ...loadBands.map(({ index, label }) => {
          const figure = byKind.get(kind)?.get(index);
          if (figure === undefined) return <span key={`${kind} ${index}`} className={classes.none} />;
          const { background, isHatched } = lookOf(figure);
          return (
            <span
              key={`${kind} ${index}`}
              className={`${classes.square} ${isHatched ? 'hatched' : ''}`}
              style={{ backgroundColor: background }}
              title={figure.describe(`${kind}, load ${label}`)}
            />
          );
        }),
      ])}
    </span>
  );
}

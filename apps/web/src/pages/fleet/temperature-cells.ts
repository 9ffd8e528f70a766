import type { Band } from '@syncline/contract';
import type { MatrixFigure, TemperaturePanel } from './matrix-figure.js';

/** One cell of one panel, as a row of a table. */
export interface PanelCell {
  readonly key: string;
  readonly band: Band;
  readonly kind: string;
  /** Undefined for all loads together. */
  readonly load: Band | undefined;
  readonly figure: MatrixFigure;
}

/** Every cell of all panels, band by band; those where nothing was driven are left out. */
export function panelCells(panels: readonly TemperaturePanel[]): PanelCell[] {
  return panels.flatMap(({ band, matrix }) =>
    matrix.rows.flatMap(({ kind, total, cells }) => [
      { key: `${band.index} ${kind}`, band, kind, load: undefined, figure: total },
      ...matrix.loadBands.flatMap((load) => {
        const figure = cells.get(load.index);
        return figure === undefined ? [] : [{ key: `${band.index} ${kind} ${load.index}`, band, kind, load, figure }];
      }),
    ]),
  );
}

/**
 * The shifts that any panel has, in their order, so that a row is the same shift in all of them. The order is that of
 * the fullest panel; shifts that it lacks follow.
 */
export function panelKinds(panels: readonly TemperaturePanel[]): string[] {
  const byLength = [...panels].sort((a, b) => b.matrix.rows.length - a.matrix.rows.length);
  return [...new Set(byLength.flatMap(({ matrix }) => matrix.rows.map(({ kind }) => kind)))];
}

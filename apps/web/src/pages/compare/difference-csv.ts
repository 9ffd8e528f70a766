import { axisName } from '../../charts/grid-axis.js';
import { placeOf } from '../../charts/grid-place.js';
import type { CsvColumn } from '../../format/csv.js';
import type { GridDifference } from './difference-grid.js';
import type { PairLabels } from './pair-labels.js';

/** One row for each cell of a difference: break points, both values, the change in both forms. */
export function differenceCsvColumns(
  { rowAxis, columnAxis, size, base, other, absolute, percent, unit }: GridDifference,
  labels: PairLabels,
): CsvColumn<number>[] {
  const columns: CsvColumn<number>[] = [];
  if (rowAxis) {
    columns.push({ header: axisName(rowAxis), cell: (at) => rowAxis.breakpoints[placeOf(at, size).row] ?? null });
  }
  if (columnAxis) {
    columns.push({
      header: axisName(columnAxis),
      cell: (at) => columnAxis.breakpoints[placeOf(at, size).column] ?? null,
    });
  }
  return [
    ...columns,
    { header: axisName({ title: labels.base, unit }), cell: (at) => base[at] ?? null },
    { header: axisName({ title: labels.other, unit }), cell: (at) => other[at] ?? null },
    { header: axisName({ title: 'change', unit }), cell: (at) => absolute[at] ?? null },
    { header: 'change (% of base)', cell: (at) => percent[at] ?? null },
  ];
}

/** Positions of all cells, the rows of the download. */
export function differenceCsvRows({ absolute }: GridDifference): number[] {
  return absolute.map((_, at) => at);
}

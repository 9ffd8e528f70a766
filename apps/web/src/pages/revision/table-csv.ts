import type { EvidenceResponse } from '@syncline/contract';
import { axisName } from '../../charts/grid-axis.js';
import { placeOf } from '../../charts/grid-place.js';
import type { CsvColumn } from '../../format/csv.js';
import { rateColumns } from '../../format/rate-columns.js';
import { type CellEvidence, evidenceByCell } from './evidence.js';
import type { TableView } from './table-view.js';

interface TableCsvRow {
  readonly row: number;
  readonly column: number;
  readonly value: number;
  readonly evidence: CellEvidence | undefined;
}

/** One row for each cell of the table. */
export function tableCsvRows(view: TableView, evidence: EvidenceResponse | undefined): TableCsvRow[] {
  const evidenceAt = evidenceByCell(evidence, view.size);
  return view.values.map((value, position) => {
    const place = placeOf(position, view.size);
    return { ...place, value, evidence: evidenceAt(place) };
  });
}

/** Break points, value, and the evidence with both ends of its intervals. */
export function tableCsvColumns({ rowAxis, columnAxis, spec, unit }: TableView): CsvColumn<TableCsvRow>[] {
  const columns: CsvColumn<TableCsvRow>[] = [];
  if (rowAxis) columns.push({ header: axisName(rowAxis), cell: ({ row }) => rowAxis.breakpoints[row] ?? null });
  if (columnAxis) {
    columns.push({ header: axisName(columnAxis), cell: ({ column }) => columnAxis.breakpoints[column] ?? null });
  }
  return [
    ...columns,
    { header: axisName({ title: spec.title, unit }), cell: ({ value }) => value },
    ...rateColumns<TableCsvRow>('flare', ({ evidence }) => evidence?.flare),
    ...rateColumns<TableCsvRow>('tie-up', ({ evidence }) => evidence?.tieUp),
  ];
}

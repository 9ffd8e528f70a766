import type { TableSpec, ValueCheck } from '../layout/layout.js';
import { cellName, cellOf } from '../tables/cell.js';
import { type Finding, type FindingCode, finding, plain } from './finding.js';
import { severityOf } from './severities.js';

/** One variant's values on axes that are known to fit the layout. */
export interface CheckedValues {
  readonly spec: TableSpec;
  readonly axes: readonly (readonly number[])[];
  readonly variant: string;
  readonly values: readonly number[];
}

/** What a finding about a cell says beyond its place; `found` is the cell's value unless given. */
export interface CellFault {
  readonly bound: number | null;
  readonly message: string;
  readonly found?: number;
}

/** A blocking finding about the cell at a row-major position. */
export function cellFinding(checked: CheckedValues, index: number, code: FindingCode, fault: CellFault): Finding {
  const { spec, axes, variant, values } = checked;
  return finding({
    code,
    tableId: spec.id,
    variant,
    cell: cellOf(axes, index),
    found: plain(fault.found ?? values[index]),
    bound: fault.bound,
    message: `Table '${spec.id}', ${variant}, ${cellName(spec, axes, index)}: ${fault.message}`,
  });
}

/** A finding about a cell by a check whose severity the table's layout may choose. */
export function valueFinding(checked: CheckedValues, index: number, check: ValueCheck, fault: CellFault): Finding {
  return { ...cellFinding(checked, index, check, fault), severity: severityOf(checked.spec, check) };
}

import { type ResamplingError, resampleTable } from '@syncline/calibration';
import type { LayoutDocument, RevisionContentDocument } from '@syncline/contract';
import { parseAmount } from '../../../format/parse-amount.js';

type TableSpec = LayoutDocument['tables'][number];
type TableContent = RevisionContentDocument['tables'][string];

/** Break points as they are typed, axis by axis. */
export type AxisTexts = readonly (readonly string[])[];

/** What is wrong with one typed break point. */
export interface AxisFault {
  readonly axis: number;
  readonly node: number;
  readonly message: string;
}

/** Every typed break point that is no number or does not rise; empty where the axes can be used. */
export function axisFaults(spec: Pick<TableSpec, 'axes'>, texts: AxisTexts): AxisFault[] {
  return texts.flatMap((nodes, axis) => {
    const unit = spec.axes[axis]?.unit ?? '';
    const values = nodes.map(parseAmount);
    return values.flatMap((value, node): AxisFault[] => {
      if (value === undefined) return [{ axis, node, message: 'Please give a number' }];
      const before = values[node - 1];
      if (before === undefined || value > before) return [];
      return [{ axis, node, message: `More than ${before} ${unit}`.trimEnd() }];
    });
  });
}

export interface MovedTable {
  readonly table: TableContent;
  readonly largestError: ResamplingError | null;
}

/** The table with every variant read off at the typed break points. The texts must be without fault. */
export function withMovedAxes(spec: TableSpec, table: TableContent, texts: AxisTexts): MovedTable {
  const axes = texts.map((nodes) => nodes.map((text) => parseAmount(text) as number));
  const { content, largestError } = resampleTable(spec, table, axes);
  return {
    table: {
      axes,
      values: Object.fromEntries(Object.entries(content.values).map(([variant, values]) => [variant, [...values]])),
    },
    largestError,
  };
}

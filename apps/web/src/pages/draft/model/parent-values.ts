import { interpolate } from '@syncline/calibration';
import type { LayoutDocument, RevisionContentDocument } from '@syncline/contract';
import { sameNumbers } from './edit-history.js';

type TableContent = RevisionContentDocument['tables'][string];

/**
 * Values of the parent at the nodes of the draft, so that the two can stand side by side even where break points were
 * moved. Null where the parent has no such table or variant.
 */
export function parentValuesOn(
  spec: Pick<LayoutDocument['tables'][number], 'axes'>,
  parentTable: TableContent | undefined,
  variant: string,
  axes: readonly (readonly number[])[] | undefined,
): readonly number[] | null {
  const values = parentTable?.values[variant];
  if (parentTable === undefined || values === undefined || axes === undefined) return null;
  if (parentTable.axes.length !== spec.axes.length || axes.length !== spec.axes.length) return null;
  if (axes.every((axis, i) => sameNumbers(axis, parentTable.axes[i] ?? []))) return values;
  return nodesOf(axes).map((node) => interpolate(parentTable.axes, values, node));
}

function nodesOf(axes: readonly (readonly number[])[]): number[][] {
  return axes.reduce<number[][]>((nodes, axis) => nodes.flatMap((node) => axis.map((x) => [...node, x])), [[]]);
}

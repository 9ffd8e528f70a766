import { formatNumber } from '../format/quantity.js';

/** One side of a grid: what runs along it, and where its nodes lie. */
export interface GridAxis {
  readonly title: string;
  readonly unit: string;
  readonly breakpoints: readonly number[];
}

const MOST_DIGITS = 3;

/** “Load (%)”. */
export function axisName({ title, unit }: Pick<GridAxis, 'title' | 'unit'>): string {
  return unit === '' ? title : `${title} (${unit})`;
}

/** A break point with as many digits as it has. */
export function nodeText(breakpoint: number): string {
  const digits = Math.min(MOST_DIGITS, (String(breakpoint).split('.')[1] ?? '').length);
  return formatNumber(breakpoint, digits);
}

/** “Load 40 %”. */
export function nodeName({ title, unit, breakpoints }: GridAxis, node: number): string {
  return `${title} ${nodeText(breakpoints[node] ?? Number.NaN)} ${unit}`.trimEnd();
}

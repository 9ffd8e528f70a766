import type { KeyboardEvent } from 'react';

const STEPS: Record<string, readonly [row: number, column: number]> = {
  ArrowUp: [-1, 0],
  ArrowDown: [1, 0],
  ArrowLeft: [0, -1],
  ArrowRight: [0, 1],
};

/** Arrow keys move the focus between the links of a table as in a spreadsheet. To be put on the table. */
export function moveFocusByArrow(event: KeyboardEvent<HTMLTableElement>): void {
  const step = STEPS[event.key];
  const cell = (event.target as HTMLElement).closest<HTMLTableCellElement>('td, th');
  const row = cell?.parentElement as HTMLTableRowElement | null | undefined;
  if (step === undefined || !cell || !row) return;
  const next = event.currentTarget.rows[row.rowIndex + step[0]]?.cells[cell.cellIndex + step[1]];
  const link = next?.querySelector<HTMLElement>('a, button');
  if (!link) return;
  event.preventDefault();
  link.focus();
}

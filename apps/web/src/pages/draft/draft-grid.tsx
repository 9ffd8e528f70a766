import { CalibrationError, formatBlock, parseBlock, pasteCells, wholeGrid } from '@syncline/calibration';
import type { Finding } from '@syncline/contract';
import { type ClipboardEvent, type KeyboardEvent, type RefObject, useMemo } from 'react';
import { type EditCell, EditGrid } from '../../charts/edit-grid.js';
import { type GridPlace, positionOf } from '../../charts/grid-place.js';
import { changeShade, valueShade } from '../../charts/shade.js';
import { counted, formatChange, formatNumber, formatQuantity } from '../../format/quantity.js';
import { useScheme } from '../../theme/use-scheme.js';
import { placeName } from '../revision/table-view.js';
import { EntryField } from './entry-field.js';
import { severityByCell } from './model/draft-findings.js';
import { ENTRY_OPERATIONS, SHAPE_OPERATIONS, valuesAfterShape, whyUnchanged } from './model/grid-operations.js';
import {
  cellCount,
  type GridSelection,
  movedSelection,
  nextInColumn,
  nextInOrder,
  oneCell,
  rectangleOf,
} from './model/grid-selection.js';
import type { DraftEditor } from './use-draft-editor.js';

interface DraftGridProps {
  readonly editor: DraftEditor;
  readonly findings: readonly Finding[];
  /** Values of the parent at the nodes that are shown; null where there is none to compare with. */
  readonly parentValues: readonly number[] | null;
  /** A finger's tap extends the selection instead of beginning one. */
  readonly isExtending: boolean;
  readonly gridRef: RefObject<HTMLDivElement | null>;
  readonly helpId: string;
  readonly onKeySheet: () => void;
  readonly onOpenAxes: (axis: 'row' | 'column', node: number) => void;
}

/** The cells of the variant that is looked at, edited by key, pointer and clipboard. */
export function DraftGrid(props: DraftGridProps) {
  const { editor, findings, parentValues, gridRef, isExtending } = props;
  const { view, place, navigation, entry, isReadOnly } = editor;
  const { selection } = place;
  const rectangle = rectangleOf(selection);
  const marks = useMarks(editor, findings);
  const cellAt = useCells(editor, parentValues, marks);
  const focus = () => gridRef.current?.focus({ preventScroll: true });
  const choose = (next: GridSelection) => {
    if (entry !== null && !editor.commitEntry()) return;
    navigation.select(next);
  };
  return (
    <EditGrid
      label={`${view.name}${view.unit === '' ? '' : `, ${view.unit}`}`}
      describedBy={props.helpId}
      rowAxis={view.rowAxis}
      columnAxis={view.columnAxis}
      size={view.size}
      textWidth={textWidthOf(view.extent, view.digits)}
      cellAt={cellAt}
      activeWords={wordsOf(editor, parentValues, findings, cellCount(rectangle))}
      active={selection.active}
      selected={rectangle}
      isReadOnly={isReadOnly}
      overlay={entry === null ? null : <EntryField editor={editor} entry={entry} onClose={focus} />}
      gridRef={gridRef}
      handlers={{
        onKeyDown: (event) => onKeyDown(event, props, choose),
        onCopy: (event) => copy(event, editor),
        onCut: (event) => cut(event, editor, parentValues),
        onPaste: (event) => paste(event, editor),
      }}
      onPoint={(at, how) => {
        focus();
        choose(how === 'extend' || isExtending ? { anchor: selection.anchor, active: at } : oneCell(at));
      }}
      onOpen={() => isReadOnly || editor.setEntry({ kind: 'set', text: valueText(editor) })}
      onOpenAxis={props.onOpenAxes}
    />
  );
}

/** Room for the widest number of the table, with a sign. */
function textWidthOf([low, high]: readonly [number, number], digits: number): number {
  return Math.max(4, formatNumber(low, digits).length, formatNumber(high, digits).length);
}

/** The findings of the shown variant by cell. They come a moment after the values, so that typing never waits. */
function useMarks({ view, place }: DraftEditor, findings: readonly Finding[]) {
  const { columns } = view.size;
  return useMemo(
    () => severityByCell(findings, { tableId: place.tableId, variant: place.variant, columns }),
    [findings, place.tableId, place.variant, columns],
  );
}

function useCells(
  { view, extent, navigation }: DraftEditor,
  parentValues: readonly number[] | null,
  marks: ReadonlyMap<number, Finding['severity']>,
): (at: GridPlace) => EditCell {
  const scheme = useScheme();
  const isByChange = navigation.search.shade === 'change' && parentValues !== null;
  const { values, size, digits } = view;
  const reach = useMemo(() => (isByChange ? reachOf(values, parentValues) : 0), [isByChange, values, parentValues]);
  return (at) => {
    const position = positionOf(at, size);
    const value = values[position] as number;
    const before = parentValues?.[position];
    const shade = isByChange ? changeShade(value - (before ?? value), reach, scheme) : valueShade(value, extent);
    return {
      text: formatNumber(value, digits),
      ...shade,
      isChanged: before !== undefined && before !== value,
      finding: marks.get(position) ?? null,
      isCommented: false,
    };
  };
}

/** The largest change against the parent: the end of the ramp. */
function reachOf(values: readonly number[], parentValues: readonly number[]): number {
  let reach = 0;
  for (let i = 0; i < values.length; i++) {
    reach = Math.max(reach, Math.abs((values[i] as number) - (parentValues[i] as number)));
  }
  return reach;
}

/** The active cell as a screen reader says it. */
function wordsOf(
  { view, place }: DraftEditor,
  parentValues: readonly number[] | null,
  findings: readonly Finding[],
  selectedCount: number,
): string {
  const { active } = place.selection;
  const position = positionOf(active, view.size);
  const value = view.values[position] as number;
  const before = parentValues?.[position];
  const found = findings.filter(
    ({ tableId, variant, cell }) =>
      tableId === place.tableId &&
      (variant === null || variant === place.variant) &&
      cell?.row === active.row &&
      cell.column === active.column,
  );
  return [
    placeName(view, active),
    formatQuantity(value, view.unit, view.digits),
    before !== undefined &&
      before !== value &&
      `${formatChange(value - before, view.unit, view.digits)} against the parent`,
    ...found.map(({ severity, message }) => `${severity === 'blocking' ? 'blocks' : 'warning'}: ${message}`),
    selectedCount > 1 && `${counted(selectedCount, 'cell')} selected`,
  ]
    .filter(Boolean)
    .join('; ');
}

/** The value of the active cell, every digit, as it is typed. */
function valueText({ view, place }: DraftEditor): string {
  return String(view.values[positionOf(place.selection.active, view.size)]);
}

function onKeyDown(event: KeyboardEvent, props: DraftGridProps, choose: (selection: GridSelection) => void): void {
  const { editor } = props;
  const isCtrl = event.ctrlKey || event.metaKey;
  if (event.altKey || event.nativeEvent.isComposing) return;
  if (isCtrl ? onCommand(event, editor) : onMoveKey(event, editor, choose) || onEditKey(event, props)) {
    event.preventDefault();
    return;
  }
  const { key, shiftKey } = event;
  const moved = movedSelection(editor.place.selection, editor.view.size, key, { shiftKey, isCtrl });
  if (moved === undefined) return;
  event.preventDefault();
  choose(moved);
}

/** Keys with Ctrl that are no moves. Undo and redo belong to the whole page. */
function onCommand(event: KeyboardEvent, { grid, navigation }: DraftEditor): boolean {
  if (event.key.toLowerCase() !== 'a') return false;
  const { endRow, endColumn } = wholeGrid(grid.axes);
  navigation.select({ anchor: { row: endRow - 1, column: endColumn - 1 }, active: { row: 0, column: 0 } });
  return true;
}

/** Tab and Enter step in reading order and down; at the ends of the grid Tab leaves it. */
function onMoveKey({ key, shiftKey }: KeyboardEvent, { place, view }: DraftEditor, choose: (s: GridSelection) => void) {
  const { active } = place.selection;
  if (key === 'Tab') {
    const next = nextInOrder(active, view.size, shiftKey ? -1 : 1);
    if (next !== undefined) choose(oneCell(next));
    return next !== undefined;
  }
  if (key !== 'Enter') return false;
  choose(oneCell(nextInColumn(active, view.size, shiftKey ? -1 : 1)));
  return true;
}

function onEditKey({ key }: KeyboardEvent, { editor, parentValues, onKeySheet }: DraftGridProps): boolean {
  if (key === '?') {
    onKeySheet();
    return true;
  }
  if (editor.isReadOnly) return false;
  if (key === 'F2') {
    editor.setEntry({ kind: 'set', text: valueText(editor) });
    return true;
  }
  if (/^[0-9.,]$/.test(key)) {
    editor.setEntry({ kind: 'set', text: key });
    return true;
  }
  const operation = ENTRY_OPERATIONS.find((one) => one.key === key);
  if (operation !== undefined) {
    editor.setEntry({ kind: operation.kind, text: '' });
    return true;
  }
  const isEmptying = key === 'Delete' || key === 'Backspace';
  const shape = SHAPE_OPERATIONS.find((one) => one.key === (isEmptying ? 'p' : key.toLowerCase()));
  if (shape === undefined) return false;
  editShape(editor, shape.kind, parentValues);
  return true;
}

/** Does an operation that needs no number to the selected cells. */
export function editShape(
  editor: DraftEditor,
  kind: (typeof SHAPE_OPERATIONS)[number]['kind'],
  parentValues: readonly number[] | null,
): void {
  const { grid, place, view } = editor;
  const selection = rectangleOf(place.selection);
  const words = SHAPE_OPERATIONS.find((one) => one.kind === kind)?.word ?? kind;
  editor.edit(
    () => valuesAfterShape(kind, { grid, selection, spec: view.spec, parentValues }),
    `${words}, ${counted(cellCount(selection), 'cell')}`,
    whyUnchanged(kind),
  );
}

/** The selected cells as a spreadsheet takes them. */
export function selectedBlock({ grid, place }: DraftEditor): string {
  return formatBlock(grid, rectangleOf(place.selection));
}

function copy(event: ClipboardEvent, editor: DraftEditor): void {
  event.preventDefault();
  event.clipboardData.setData('text/plain', selectedBlock(editor));
}

/** A cell is never empty: cutting copies it and puts the value of the parent in its place. */
function cut(event: ClipboardEvent, editor: DraftEditor, parentValues: readonly number[] | null): void {
  copy(event, editor);
  if (!editor.isReadOnly) editShape(editor, 'parent', parentValues);
}

function paste(event: ClipboardEvent, editor: DraftEditor): void {
  event.preventDefault();
  pasteText(editor, event.clipboardData.getData('text/plain'));
}

/** Lays a block of text over the cells from the first selected one on; says why when it does not fit. */
export function pasteText(editor: DraftEditor, text: string): void {
  const { grid, place, navigation } = editor;
  const selection = rectangleOf(place.selection);
  try {
    const block = parseBlock(text);
    const [rows, columns] = [block.length, block[0]?.length ?? 0];
    editor.edit(
      () => pasteCells(grid, selection, block),
      `Pasted ${rows} × ${columns}`,
      'Nothing changed: the cells had these values already.',
    );
    const end = { row: selection.startRow + rows - 1, column: selection.startColumn + columns - 1 };
    const isInside = end.row < editor.view.size.rows && end.column < editor.view.size.columns;
    if (isInside && rows * columns > cellCount(selection)) {
      navigation.select({ anchor: { row: selection.startRow, column: selection.startColumn }, active: end });
    }
  } catch (error) {
    if (!(error instanceof CalibrationError)) throw error;
    editor.setNotice(`Not pasted. ${error.message}`);
  }
}

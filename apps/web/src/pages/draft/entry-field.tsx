import { type KeyboardEvent, useRef } from 'react';
import { positionOf } from '../../charts/grid-place.js';
import { counted, formatNumber } from '../../format/quantity.js';
import classes from './draft.module.css';
import type { Entry } from './model/entry.js';
import { ENTRY_OPERATIONS } from './model/grid-operations.js';
import { cellCount, nextInColumn, nextInOrder, oneCell, rectangleOf } from './model/grid-selection.js';
import type { DraftEditor } from './use-draft-editor.js';

interface EntryFieldProps {
  readonly editor: DraftEditor;
  readonly entry: Entry;
  /** The focus goes back to the grid. */
  readonly onClose: () => void;
}

/** The number that is being typed, over the active cell. The grid shows meanwhile what it would do. */
export function EntryField({ editor, entry, onClose }: EntryFieldProps) {
  const { view, place, setEntry, commitEntry, navigation } = editor;
  const { spec, size, digits } = view;
  const count = cellCount(rectangleOf(place.selection));
  const operation = ENTRY_OPERATIONS.find(({ kind }) => kind === entry.kind);
  const now = view.values[positionOf(place.selection.active, size)] as number;
  const isOutside = now < spec.limits.min || now > spec.limits.max;
  /** The keys settled it; the loss of focus that follows must not do so again. */
  const isSettled = useRef(false);
  const close = () => {
    isSettled.current = true;
    onClose();
  };
  const onKeyDown = (event: KeyboardEvent) => {
    if (event.nativeEvent.isComposing) return;
    if (event.key === 'Escape') {
      setEntry(null);
      close();
    } else if (event.key === 'Enter' || event.key === 'Tab') {
      if (!commitEntry()) return event.preventDefault();
      const { active } = place.selection;
      const step = event.shiftKey ? -1 : 1;
      const next = event.key === 'Tab' ? nextInOrder(active, size, step) : nextInColumn(active, size, step);
      // A range stays selected, so that its outcome can be seen and worked on.
      if (count === 1 && next !== undefined) navigation.select(oneCell(next));
      close();
    } else return;
    event.preventDefault();
    event.stopPropagation();
  };
  return (
    <div className={classes.entry}>
      <span className={classes.entrySign} aria-hidden="true">
        {operation?.sign}
      </span>
      <input
        className={classes.entryInput}
        aria-label={`${operation?.word}, ${counted(count, 'cell')}, ${entry.kind === 'scale' ? '%' : view.unit || 'no unit'}`}
        aria-describedby="entry-effect"
        inputMode="decimal"
        autoComplete="off"
        // The field opens by a key of the grid, which hands the typing over to it.
        // oxlint-disable-next-line jsx-a11y/no-autofocus
        autoFocus
        value={entry.text}
        onChange={(event) => setEntry({ ...entry, text: event.currentTarget.value })}
        onKeyDown={onKeyDown}
        onBlur={() => isSettled.current || commitEntry()}
        onFocus={(event) => entry.kind === 'set' && entry.text.length > 1 && event.currentTarget.select()}
      />
      <div id="entry-effect" className={classes.entryEffect} data-outside={isOutside} role="status">
        {isOutside
          ? `Blocks: allowed ${formatNumber(spec.limits.min, digits)} to ${formatNumber(spec.limits.max, digits)}`
          : `${count > 1 ? `${counted(count, 'cell')}, this one ` : ''}${formatNumber(now, digits)} ${view.unit}`}
      </div>
    </div>
  );
}

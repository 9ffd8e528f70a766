import { Button, Menu, SegmentedControl } from '@mantine/core';
import { memo, type RefObject } from 'react';
import type { TableView } from '../revision/table-view.js';
import classes from './draft.module.css';
import { editShape, pasteText, selectedBlock } from './draft-grid.js';
import type { DraftSearch } from './draft-search.js';
import { ENTRY_OPERATIONS, SHAPE_OPERATIONS } from './model/grid-operations.js';
import type { DraftEditor } from './use-draft-editor.js';

interface DraftToolbarProps {
  /** The editor as it is when a button is pressed: the bar is not drawn anew at every key. */
  readonly editor: RefObject<DraftEditor>;
  readonly parentValues: RefObject<readonly number[] | null>;
  readonly gridRef: RefObject<HTMLDivElement | null>;
  readonly spec: TableView['spec'];
  readonly isReadOnly: boolean;
  readonly hasParent: boolean;
  readonly undoWords: string | undefined;
  readonly redoWords: string | undefined;
  readonly shade: DraftSearch['shade'];
  readonly onShade: (shade: DraftSearch['shade']) => void;
  readonly isExtending: boolean;
  readonly onExtending: (isExtending: boolean) => void;
  readonly onOpenAxes: () => void;
}

/** Everything that the keys can do, for the pointer and the finger. Each button says its key. */
export const DraftToolbar = memo(function DraftToolbar(props: DraftToolbarProps) {
  const { editor, parentValues, gridRef, spec, isReadOnly, undoWords, redoWords, isExtending, onExtending } = props;
  const back = () => gridRef.current?.focus({ preventScroll: true });
  return (
    <div className={classes.toolbar} role="toolbar" aria-label="Edit the selected cells">
      {!isReadOnly && (
        <>
          <Button.Group className={classes.tools ?? ''}>
            {ENTRY_OPERATIONS.map(({ kind, key, word, explanation }) => (
              <Tool
                key={kind}
                word={word}
                hint={key}
                title={explanation}
                onClick={() => editor.current.setEntry({ kind, text: '' })}
              />
            ))}
          </Button.Group>
          {spec.axes.length > 0 && (
            <Button.Group className={classes.tools ?? ''}>
              {SHAPE_OPERATIONS.map(({ kind, key, word, explanation }) => (
                <Tool
                  key={kind}
                  word={word}
                  hint={key.toUpperCase()}
                  title={explanation}
                  onClick={() => {
                    editShape(editor.current, kind, parentValues.current);
                    back();
                  }}
                />
              ))}
            </Button.Group>
          )}
          <Button.Group className={classes.tools ?? ''}>
            <Tool
              word="Undo"
              hint="Ctrl Z"
              title={undoWords ?? 'Nothing to undo'}
              isDisabled={undoWords === undefined}
              onClick={() => editor.current.undo()}
            />
            <Tool
              word="Redo"
              hint="Ctrl Y"
              title={redoWords ?? 'Nothing to do again'}
              isDisabled={redoWords === undefined}
              onClick={() => editor.current.redo()}
            />
          </Button.Group>
        </>
      )}
      <MoreMenu editor={editor} spec={spec} isReadOnly={isReadOnly} onOpenAxes={props.onOpenAxes} onDone={back} />
      <Button
        className={classes.touchOnly ?? ''}
        variant={isExtending ? 'filled' : 'default'}
        size="compact-sm"
        aria-pressed={isExtending}
        onClick={() => onExtending(!isExtending)}
      >
        Select a range
      </Button>
      {props.hasParent && (
        <SegmentedControl
          size="xs"
          aria-label="What the ground of a cell says"
          data={[
            { value: 'value', label: 'Shade by value' },
            { value: 'change', label: 'by change' },
          ]}
          value={props.shade ?? 'value'}
          onChange={(shade) => props.onShade(shade === 'change' ? 'change' : undefined)}
        />
      )}
    </div>
  );
});

interface ToolProps {
  readonly word: string;
  readonly hint: string;
  readonly title: string;
  readonly isDisabled?: boolean;
  readonly onClick: () => void;
}

function Tool({ word, hint, title, isDisabled = false, onClick }: ToolProps) {
  return (
    <Button variant="default" size="compact-sm" fw={500} title={title} disabled={isDisabled} onClick={onClick}>
      {word}
      <kbd className={classes.hint}>{hint}</kbd>
    </Button>
  );
}

interface MoreMenuProps extends Pick<DraftToolbarProps, 'editor' | 'spec' | 'isReadOnly' | 'onOpenAxes'> {
  readonly onDone: () => void;
}

/** What is needed less often, and the clipboard for those without a keyboard. */
function MoreMenu({ editor, spec, isReadOnly, onOpenAxes, onDone }: MoreMenuProps) {
  // Browsers hand the clipboard to a page by a button only over a secure connection; the keys work always.
  const clipboard = window.isSecureContext ? navigator.clipboard : undefined;
  const movable = spec.axes.filter(({ editable }) => editable);
  return (
    <Menu position="bottom-start" shadow="sm" onClose={onDone}>
      <Menu.Target>
        <Button variant="default" size="compact-sm" fw={500}>
          More
        </Button>
      </Menu.Target>
      <Menu.Dropdown>
        {clipboard !== undefined && (
          <Menu.Item onClick={() => void clipboard.writeText(selectedBlock(editor.current))}>
            Copy the selected cells
          </Menu.Item>
        )}
        {clipboard !== undefined && !isReadOnly && (
          <Menu.Item onClick={() => void pasteFrom(editor.current, clipboard)}>Paste at the selected cell</Menu.Item>
        )}
        <Menu.Item disabled={isReadOnly || movable.length === 0} onClick={onOpenAxes}>
          Move break points
          {movable.length === 0 && ' (the layout fixes them)'}
        </Menu.Item>
      </Menu.Dropdown>
    </Menu>
  );
}

async function pasteFrom(editor: DraftEditor, clipboard: Clipboard): Promise<void> {
  try {
    pasteText(editor, await clipboard.readText());
  } catch {
    editor.setNotice('The browser did not hand over the clipboard. Press Ctrl V in the grid instead.');
  }
}

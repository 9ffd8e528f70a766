import { Kbd, Modal, Table } from '@mantine/core';
import { memo } from 'react';
import { ENTRY_OPERATIONS, SHAPE_OPERATIONS } from './model/grid-operations.js';

type KeyRow = readonly [keys: readonly string[], what: string];

const MOVES: readonly KeyRow[] = [
  [['←', '→', '↑', '↓'], 'move; with Shift select a range; with Ctrl to the edge'],
  [['Home', 'End'], 'ends of the row; with Ctrl first and last cell'],
  [['Tab', 'Enter'], 'next cell, cell below; with Shift back. Past the last cell Tab leaves the grid'],
  [['Ctrl', 'A'], 'select the whole table'],
];

const ENTRIES: readonly KeyRow[] = [
  [['0–9'], 'type a number for all selected cells; Enter takes it, Escape does not'],
  [['F2'], 'edit the value of the active cell'],
  ...ENTRY_OPERATIONS.map(({ key, explanation }): KeyRow => [[key], explanation]),
];

const SHAPES: readonly KeyRow[] = SHAPE_OPERATIONS.map(({ key, explanation }) => [[key.toUpperCase()], explanation]);

const OTHERS: readonly KeyRow[] = [
  [['Ctrl', 'C'], 'copy as a spreadsheet does; cells parted by tabs'],
  [['Ctrl', 'X'], 'copy, then back to the value of the parent'],
  [['Ctrl', 'V'], 'paste from the first selected cell on'],
  [['Delete'], 'back to the value of the parent'],
  [['Ctrl', 'Z'], 'undo, in whichever table it was; with Shift, or Ctrl Y, do it again'],
  [['?'], 'show this list'],
];

interface KeySheetProps {
  readonly isOpen: boolean;
  readonly onClose: () => void;
}

/** The keys of the Draft page. */
export const KeySheet = memo(function KeySheet({ isOpen, onClose }: KeySheetProps) {
  return (
    <Modal
      opened={isOpen}
      onClose={onClose}
      title="Keys in the grid"
      size="lg"
      closeButtonProps={{ 'aria-label': 'Close' }}
    >
      <KeyTable title="Move and select" rows={MOVES} />
      <KeyTable title="Numbers" rows={ENTRIES} />
      <KeyTable title="Shapes" rows={SHAPES} />
      <KeyTable title="Clipboard and undo" rows={OTHERS} />
    </Modal>
  );
});

function KeyTable({ title, rows }: { readonly title: string; readonly rows: readonly KeyRow[] }) {
  return (
    <Table captionSide="top" verticalSpacing={2} mb="sm">
      <Table.Caption ta="left" fw={600} mt={0}>
        {title}
      </Table.Caption>
      <Table.Tbody>
        {rows.map(([keys, what]) => (
          <Table.Tr key={what}>
            <Table.Th scope="row" fw={400} w={150}>
              {keys.map((key) => (
                <Kbd key={key} mr={4}>
                  {key}
                </Kbd>
              ))}
            </Table.Th>
            <Table.Td>{what}</Table.Td>
          </Table.Tr>
        ))}
      </Table.Tbody>
    </Table>
  );
}

/** The keys that are needed most, in one line under the grid. */
export function KeyLine({ id, isReadOnly }: { readonly id: string; readonly isReadOnly: boolean }) {
  if (isReadOnly) return <span id={id}>Arrow keys move, Shift selects, Ctrl C copies.</span>;
  return (
    <span id={id}>
      Digits set the selected cells · <kbd>+</kbd> <kbd>-</kbd> amount · <kbd>*</kbd> percent · <kbd>R</kbd>{' '}
      <kbd>C</kbd> <kbd>B</kbd> straight line · <kbd>S</kbd> smooth · <kbd>P</kbd> parent · <kbd>Ctrl Z</kbd> undo ·{' '}
      <kbd>?</kbd> all keys
    </span>
  );
}

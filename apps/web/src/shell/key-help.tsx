import { Kbd, Modal, Table } from '@mantine/core';

const KEYS: readonly (readonly [readonly string[], string])[] = [
  [['/'], 'Go to the search or first filter of the page'],
  [['?'], 'Show this list'],
  [['←', '→', '↑', '↓'], 'Move between the cells of a matrix or table of values'],
  [['Enter'], 'Open the shifts behind a cell'],
  [['←', '→'], 'In a drive: step one sample'],
  [['Shift', '← →'], 'In a drive: step one shift'],
  [['Esc'], 'Close, or leave the zoom of a drive'],
];

interface KeyHelpProps {
  readonly isOpen: boolean;
  readonly onClose: () => void;
}

/** The keys that work everywhere and on the pages with plots. */
export function KeyHelp({ isOpen, onClose }: KeyHelpProps) {
  return (
    <Modal opened={isOpen} onClose={onClose} title="Keys" closeButtonProps={{ 'aria-label': 'Close' }}>
      <Table>
        <Table.Tbody>
          {KEYS.map(([keys, what]) => (
            <Table.Tr key={what}>
              <Table.Th scope="row" fw={400} w={140}>
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
    </Modal>
  );
}

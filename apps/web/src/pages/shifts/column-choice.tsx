import { Button, Checkbox, Popover, Stack } from '@mantine/core';
import { useDisclosure } from '@mantine/hooks';
import type { DataColumn } from '../../parts/data-table.js';
import { useKeptFocus } from '../../parts/use-kept-focus.js';
import { useOncePainted } from '../../parts/use-once-painted.js';

interface ColumnChoiceProps<Row> {
  readonly columns: readonly DataColumn<Row>[];
  readonly shown: readonly string[];
  /** Undefined goes back to the usual columns. */
  readonly onChange: (shown: readonly string[] | undefined) => void;
}

/** Which columns a table shows. */
export function ColumnChoice<Row>({ columns, shown, onChange }: ColumnChoiceProps<Row>) {
  const toggle = (id: string, isShown: boolean) =>
    onChange(columns.map((column) => column.id).filter((known) => (known === id ? isShown : shown.includes(known))));
  const [isOpen, choice] = useDisclosure(false);
  const button = (
    <Button ref={useKeptFocus()} variant="default" size="compact-sm" fw={500} onClick={choice.toggle}>
      Columns
    </Button>
  );
  if (!useOncePainted()) return button;
  return (
    <Popover opened={isOpen} onChange={choice.set} position="bottom-end" shadow="sm" trapFocus returnFocus>
      <Popover.Target>{button}</Popover.Target>
      <Popover.Dropdown mah={420} style={{ overflowY: 'auto' }}>
        <Stack gap={6}>
          {columns.slice(1).map(({ id, title, unit }) => (
            <Checkbox
              key={id}
              size="xs"
              label={unit ? `${title} (${unit})` : title}
              checked={shown.includes(id)}
              onChange={(event) => toggle(id, event.currentTarget.checked)}
            />
          ))}
          <Button variant="subtle" size="compact-xs" onClick={() => onChange(undefined)}>
            The usual ones
          </Button>
        </Stack>
      </Popover.Dropdown>
    </Popover>
  );
}

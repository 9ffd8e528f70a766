import { Button, Group, Modal, Stack, Text, TextInput } from '@mantine/core';
import type { LayoutDocument, RevisionContentDocument } from '@syncline/contract';
import { useDeferredValue, useMemo, useState } from 'react';
import { axisName } from '../../charts/grid-axis.js';
import { counted, formatQuantity } from '../../format/quantity.js';
import { tableDigits, unitWord } from '../revision/layout-words.js';
import classes from './draft.module.css';
import { sameAxes } from './model/content-change.js';
import { withTable } from './model/edit-history.js';
import { type AxisTexts, axisFaults, type MovedTable, withMovedAxes } from './model/moved-axes.js';
import type { DraftEditor } from './use-draft-editor.js';

/** The axis and node that the dialog opens at. */
export interface AxisTarget {
  readonly axis: number;
  readonly node: number;
}

interface AxesDialogProps {
  readonly editor: DraftEditor;
  readonly target: AxisTarget | null;
  readonly onClose: () => void;
}

/** Moves break points of the table that is looked at. What that does to the values is said before it is done. */
export function AxesDialog({ editor, target, onClose }: AxesDialogProps) {
  const { spec } = editor.view;
  const table = editor.content.tables[spec.id];
  if (target === null) return null;
  return (
    <Modal
      opened
      onClose={onClose}
      title={`Break points of ${spec.title}`}
      size="lg"
      closeButtonProps={{ 'aria-label': 'Close' }}
    >
      {table !== undefined && (
        <AxesForm
          spec={spec}
          table={table}
          target={target}
          onClose={onClose}
          onMove={(moved) => {
            editor.replaceContent(
              withTable(editor.content, spec.id, moved.table),
              `Break points of ${spec.title} moved`,
            );
            onClose();
          }}
        />
      )}
    </Modal>
  );
}

interface AxesFormProps {
  readonly spec: LayoutDocument['tables'][number];
  readonly table: RevisionContentDocument['tables'][string];
  readonly target: AxisTarget;
  readonly onClose: () => void;
  readonly onMove: (moved: MovedTable) => void;
}

function AxesForm({ spec, table, target, onClose, onMove }: AxesFormProps) {
  const [texts, setTexts] = useState<AxisTexts>(() => table.axes.map((axis) => axis.map(String)));
  const faults = axisFaults(spec, texts);
  const settled = useDeferredValue(texts);
  const moved = useMemo(
    () => (axisFaults(spec, settled).length === 0 ? withMovedAxes(spec, table, settled) : undefined),
    [spec, table, settled],
  );
  const isSame = moved !== undefined && sameAxes(moved.table, table);
  const type = (axis: number, node: number, text: string) =>
    setTexts((now) => now.map((nodes, i) => (i === axis ? nodes.map((old, k) => (k === node ? text : old)) : nodes)));
  return (
    <form
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        if (moved !== undefined && faults.length === 0 && !isSame) onMove(moved);
      }}
    >
      <Stack gap="md">
        <Text size="sm" c="dimmed">
          The values of {counted(Object.keys(table.values).length, 'variant')} are read off at the new break points, so
          that the table commands the same wherever that is possible.
        </Text>
        {spec.axes.map((axis, i) => (
          <fieldset key={axis.title} className={classes.axis} disabled={!axis.editable}>
            <legend>
              {axisName(axis)}
              {!axis.editable && ': fixed by the layout'}
            </legend>
            <div className={classes.axisNodes}>
              {texts[i]?.map((text, node) => (
                <TextInput
                  // Break points have no identity beyond their place.
                  // oxlint-disable-next-line react/no-array-index-key
                  key={node}
                  aria-label={`${axis.title}, break point ${node + 1}`}
                  inputMode="decimal"
                  size="xs"
                  value={text}
                  data-autofocus={(target.axis === i && target.node === node) || undefined}
                  error={faults.find((fault) => fault.axis === i && fault.node === node)?.message}
                  onChange={(event) => type(i, node, event.currentTarget.value)}
                />
              ))}
            </div>
          </fieldset>
        ))}
        <div role="status">
          <Outcome spec={spec} moved={moved} isSame={isSame} />
        </div>
        <Group justify="flex-end">
          <Button variant="default" onClick={onClose}>
            Leave them
          </Button>
          <Button type="submit" disabled={moved === undefined || faults.length > 0 || isSame}>
            Move the break points
          </Button>
        </Group>
      </Stack>
    </form>
  );
}

interface OutcomeProps {
  readonly spec: LayoutDocument['tables'][number];
  readonly moved: MovedTable | undefined;
  readonly isSame: boolean;
}

/** The largest departure from what the table said before, with its place. */
function Outcome({ spec, moved, isSame }: OutcomeProps) {
  if (moved === undefined)
    return <Text size="sm">Mend the break points marked above: each must be more than the one before.</Text>;
  if (isSame) return <Text size="sm">No break point is moved yet.</Text>;
  const { largestError } = moved;
  if (largestError === null)
    return <Text size="sm">Nothing changes between the break points: the table stays exact.</Text>;
  const where = spec.axes.map(
    ({ title, unit }, i) => `${title.toLowerCase()} ${formatQuantity(largestError.coordinates[i], unit)}`,
  );
  return (
    <Text size="sm">
      Largest departure from what the table says now:{' '}
      <strong>{formatQuantity(largestError.error, unitWord(spec.unit), Math.min(4, tableDigits(spec) + 1))}</strong>
      {largestError.variant === 'all' ? '' : ` in ${largestError.variant}`} at {where.join(', ')}.
    </Text>
  );
}

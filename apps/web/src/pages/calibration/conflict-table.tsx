import { Button, SegmentedControl, TextInput } from '@mantine/core';
import type { MergeConflict } from '@syncline/contract';
import { useState } from 'react';
import { counted, digitsFor, formatNumber } from '../../format/quantity.js';
import { unitWord } from '../revision/layout-words.js';
import classes from './merge.module.css';
import { type Choice, type Choices, type ConflictGroup, settledChoice, withSide } from './merge-choices.js';

interface ConflictTableProps {
  readonly group: ConflictGroup;
  readonly labels: { readonly ours: string; readonly theirs: string };
  readonly choices: Choices;
  readonly onChoose: (change: (now: Choices) => Choices) => void;
}

/** Conflicts shown before the rest is asked for: a whole table at odds is settled at its head. */
const FIRST_SHOWN = 60;

/** The conflicts of one variant of a table, each settled on its own or all at once. */
export function ConflictTable({ group, labels, choices, onChoose }: ConflictTableProps) {
  const { title, variant, conflicts } = group;
  const [isAll, setAll] = useState(false);
  const shown = isAll ? conflicts : conflicts.slice(0, FIRST_SHOWN);
  const unit = unitWord(conflicts[0]?.unit ?? '');
  const name = [title, variant !== 'all' && variant].filter(Boolean).join(' ');
  return (
    <div className={classes.group}>
      <div className={classes.groupHead}>
        <h3>
          {name} {unit !== '' && <span className={classes.soft}>({unit})</span>}
        </h3>
        <span className={classes.soft}>{counted(conflicts.length, 'conflict')}</span>
        {(['ours', 'theirs'] as const).map((side) => (
          <Button
            key={side}
            variant="default"
            size="compact-xs"
            onClick={() => onChoose((now) => withSide(now, conflicts, side))}
          >
            All here from {labels[side]}
          </Button>
        ))}
      </div>
      <div className={classes.scroll}>
        <table className={classes.table}>
          <thead>
            <tr>
              <th scope="col">Place</th>
              <th scope="col">Ancestor</th>
              <th scope="col">{labels.ours}</th>
              <th scope="col">{labels.theirs}</th>
              <th scope="col">Take</th>
            </tr>
          </thead>
          <tbody>
            {shown.map((conflict) => (
              <ConflictRow
                key={conflict.id}
                conflict={conflict}
                labels={labels}
                choice={choices[conflict.id]}
                onChoose={(choice) => onChoose((now) => ({ ...now, [conflict.id]: choice }))}
              />
            ))}
          </tbody>
        </table>
      </div>
      {shown.length < conflicts.length && (
        <Button variant="default" size="compact-sm" mt={6} onClick={() => setAll(true)}>
          Show all {conflicts.length}
        </Button>
      )}
    </div>
  );
}

interface ConflictRowProps {
  readonly conflict: MergeConflict;
  readonly labels: ConflictTableProps['labels'];
  readonly choice: Choice | undefined;
  readonly onChoose: (choice: Choice) => void;
}

function ConflictRow({ conflict, labels, choice, onChoose }: ConflictRowProps) {
  const { place, base, ours, theirs, unit, cell } = conflict;
  const text = (value: number | null) =>
    value === null ? 'see the table' : formatNumber(value, digitsOf(unit, value));
  const isOwn = typeof choice === 'object';
  return (
    <tr data-open={settledChoice(choice) === undefined}>
      <th scope="row">{place === '' ? 'the whole table with its break points' : place}</th>
      <td>{text(base)}</td>
      <td data-taken={choice === 'ours'}>{text(ours)}</td>
      <td data-taken={choice === 'theirs'}>{text(theirs)}</td>
      <td className={classes.choice}>
        <SegmentedControl
          size="xs"
          aria-label={`What to take at ${place === '' ? 'the whole table' : place}`}
          data={[
            { value: 'ours', label: labels.ours },
            { value: 'theirs', label: labels.theirs },
            ...(cell === null ? [] : [{ value: 'own', label: 'My own' }]),
          ]}
          value={isOwn ? 'own' : (choice ?? '')}
          onChange={(value) => onChoose(value === 'own' ? { text: '' } : (value as 'ours' | 'theirs'))}
        />
        {isOwn && (
          <TextInput
            size="xs"
            w={90}
            inputMode="decimal"
            aria-label={`My own value at ${place}`}
            value={choice.text}
            error={choice.text !== '' && settledChoice(choice) === undefined ? 'A number' : undefined}
            onChange={(event) => onChoose({ text: event.currentTarget.value })}
          />
        )}
        {choice === undefined && <span className={classes.soft}>open</span>}
      </td>
    </tr>
  );
}

/** Enough digits that two values which differ do not look alike. */
function digitsOf(unit: string, value: number): number {
  return Math.max(digitsFor(unitWord(unit)), Math.min(4, (String(value).split('.')[1] ?? '').length));
}

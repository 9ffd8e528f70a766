import { Button, TextInput } from '@mantine/core';
import type { Note } from '@syncline/contract';
import { type FormEvent, useState } from 'react';
import { useAddNote, useEditNote } from '../../api/logs.js';
import { formatElapsed, parseElapsed } from '../../format/time.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import classes from './log.module.css';

interface NoteFormProps {
  readonly logId: string;
  readonly durationS: number;
  /** What the time field begins with (s). */
  readonly initialAtS?: number;
  /** The note to be changed; left out, a new one is written. */
  readonly note?: Note;
  readonly onDone?: () => void;
}

/** A note with its moment, which may be typed as minutes and seconds. */
export function NoteForm({ logId, durationS, initialAtS = 0, note, onDone }: NoteFormProps) {
  const add = useAddNote(logId);
  const edit = useEditNote(logId);
  const [time, setTime] = useState(formatElapsed(note?.atS ?? initialAtS));
  const [text, setText] = useState(note?.text ?? '');
  const atS = parseElapsed(time);
  const fault =
    atS === undefined
      ? 'Expected minutes and seconds, as 12:04.5'
      : atS > durationS
        ? `The drive ends at ${formatElapsed(durationS, 1)}`
        : null;
  const submit = (event: FormEvent) => {
    event.preventDefault();
    if (atS === undefined || fault !== null) return;
    const onSuccess = () => {
      setText('');
      onDone?.();
    };
    if (note === undefined) add.mutate({ atS, text }, { onSuccess });
    else edit.mutate({ noteId: note.id, atS, text }, { onSuccess });
  };
  const error = add.error ?? edit.error;
  return (
    <form className={classes.noteForm} onSubmit={submit}>
      <TextInput
        label="At (min:s)"
        size="xs"
        value={time}
        onChange={(event) => setTime(event.currentTarget.value)}
        error={fault}
        w={150}
        required
      />
      <TextInput
        label="Note"
        size="xs"
        value={text}
        onChange={(event) => setText(event.currentTarget.value)}
        maxLength={200}
        style={{ flex: '1 1 240px' }}
        required
      />
      <Button type="submit" size="xs" variant="default" loading={add.isPending || edit.isPending}>
        {note === undefined ? 'Add note' : 'Save'}
      </Button>
      {onDone !== undefined && (
        <Button size="xs" variant="subtle" onClick={onDone}>
          Cancel
        </Button>
      )}
      {error !== null && <ProblemNotice error={error} />}
    </form>
  );
}

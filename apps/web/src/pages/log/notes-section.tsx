import { Button, NumberInput, TextInput } from '@mantine/core';
import { mayDo } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { type FormEvent, useState } from 'react';
import { logQueries, useAddNote } from '../../api/logs.js';
import { useSession } from '../../api/session.js';
import { formatElapsed } from '../../format/time.js';
import { Instant } from '../../parts/instant.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import classes from './log.module.css';

interface NotesSectionProps {
  readonly logId: string;
  readonly durationS: number;
}

/** Notes pinned to moments of the drive, written after it. */
export function NotesSection({ logId, durationS }: NotesSectionProps) {
  const notes = useQuery(logQueries.notes(logId));
  const { role } = useSession().person;
  return (
    <Section title="Notes" note="Pinned to a moment of the drive. Write them after it, never while driving.">
      <QueryView query={notes} isEmpty={({ items }) => items.length === 0} empty={<p>No note yet.</p>}>
        {({ items }) =>
          items.map((item) => (
            <div key={item.id} className={classes.note}>
              <span>{formatElapsed(item.atS, 1)}</span>
              <span>
                {item.text}
                <span className={classes.small}>
                  {' '}
                  {item.byName}, <Instant at={item.createdAt} />
                </span>
              </span>
            </div>
          ))
        }
      </QueryView>
      {mayDo(role, 'own:log:write') && <NoteForm logId={logId} durationS={durationS} />}
    </Section>
  );
}

function NoteForm({ logId, durationS }: NotesSectionProps) {
  const add = useAddNote(logId);
  const [atS, setAtS] = useState<number | string>(0);
  const [text, setText] = useState('');
  const submit = (event: FormEvent) => {
    event.preventDefault();
    add.mutate({ atS: Number(atS), text }, { onSuccess: () => setText('') });
  };
  return (
    <form className={classes.noteForm} onSubmit={submit}>
      <NumberInput
        label="At, seconds into the drive"
        size="xs"
        value={atS}
        onChange={setAtS}
        min={0}
        max={durationS}
        w={180}
      />
      <TextInput
        label="Note"
        size="xs"
        value={text}
        onChange={(event) => setText(event.currentTarget.value)}
        maxLength={200}
        style={{ flex: '1 1 260px' }}
        required
      />
      <Button type="submit" size="xs" variant="default" loading={add.isPending}>
        Add note
      </Button>
      {add.error !== null && <ProblemNotice error={add.error} />}
    </form>
  );
}

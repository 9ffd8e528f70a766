import { Button, UnstyledButton } from '@mantine/core';
import { type LogResponse, type MarkRow, mayDo, type Note } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { logQueries, useRemoveNote } from '../../api/logs.js';
import { useSession } from '../../api/session.js';
import { formatElapsed } from '../../format/time.js';
import { Instant } from '../../parts/instant.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { QueryView } from '../../parts/query-view.js';
import { Section } from '../../parts/section.js';
import classes from './log.module.css';
import { NoteForm } from './note-form.js';
import type { DriveView } from './use-drive-view.js';

interface NotesSectionProps {
  readonly log: LogResponse;
  readonly marks: readonly MarkRow[];
  readonly view: DriveView;
}

/** Notes pinned to moments of the drive, written after it, and presses of the marker button found in the log. */
export function NotesSection({ log, marks, view }: NotesSectionProps) {
  const notes = useQuery(logQueries.notes(log.id));
  const { role } = useSession().person;
  return (
    <Section
      title="Notes and marks"
      note="Notes are pinned to a moment of the drive: write them after it, never while driving. Marks are presses of the marker button, where the log has its signal."
    >
      <QueryView query={notes}>
        {({ items }) =>
          items.length + marks.length === 0 ? (
            <p>No note and no mark yet.</p>
          ) : (
            [...items.map((note) => ({ note, atS: note.atS })), ...marks.map(({ atS }) => ({ note: null, atS }))]
              .sort((a, b) => a.atS - b.atS)
              .map(({ note, atS }) => (
                <div key={note?.id ?? `mark ${atS}`} className={classes.note}>
                  <span>
                    <UnstyledButton c="var(--accent-ink)" fz="inherit" onClick={() => view.point(atS)}>
                      {formatElapsed(atS, 1)}
                    </UnstyledButton>
                  </span>
                  {note === null ? <span>Button pressed</span> : <NoteText log={log} note={note} />}
                </div>
              ))
          )
        }
      </QueryView>
      {mayDo(role, 'own:log:write') && <NoteForm logId={log.id} durationS={log.durationS ?? 0} />}
    </Section>
  );
}

function NoteText({ log, note }: { readonly log: LogResponse; readonly note: Note }) {
  const [doing, setDoing] = useState<'reading' | 'editing' | 'removing'>('reading');
  const remove = useRemoveNote(log.id);
  if (doing === 'editing') {
    return <NoteForm logId={log.id} durationS={log.durationS ?? 0} note={note} onDone={() => setDoing('reading')} />;
  }
  return (
    <span>
      {note.text}
      <span className={classes.small}>
        {' '}
        {note.byName}, <Instant at={note.createdAt} />
        {note.editedAt !== null && (
          <>
            , changed <Instant at={note.editedAt} />
          </>
        )}
      </span>
      {note.isOwn && doing === 'reading' && (
        <>
          <Button size="compact-xs" variant="subtle" onClick={() => setDoing('editing')}>
            Edit
          </Button>
          <Button size="compact-xs" variant="subtle" onClick={() => setDoing('removing')}>
            Delete
          </Button>
        </>
      )}
      {doing === 'removing' && (
        <span role="alert">
          {' '}
          Delete this note? Its text stays in the audit trail of the club.{' '}
          <Button size="compact-xs" variant="default" loading={remove.isPending} onClick={() => remove.mutate(note.id)}>
            Delete it
          </Button>
          <Button size="compact-xs" variant="subtle" onClick={() => setDoing('reading')}>
            Keep it
          </Button>
        </span>
      )}
      {remove.error !== null && <ProblemNotice error={remove.error} />}
    </span>
  );
}

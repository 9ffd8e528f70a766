import { Button, Stack, TextInput } from '@mantine/core';
import { useState } from 'react';
import { Caution } from './caution.js';
import classes from './erase-act.module.css';
import { ProblemNotice } from './problem-notice.js';

interface EraseActProps {
  /** Address that confirms whose data go. */
  readonly email: string;
  readonly label: string;
  readonly error: Error | null;
  readonly isPending: boolean;
  readonly onErase: (email: string) => void;
}

/** What goes and what stays, and a field that nobody fills in by accident. */
export function EraseAct({ email, label, error, isPending, onErase }: EraseActProps) {
  const [typed, setTyped] = useState('');
  return (
    <Stack gap="sm" maw="70ch">
      <dl className={classes.effects}>
        <dt>Before</dt>
        <dd>
          Download the originals that are wanted, on the page of each drive. Control units have to be entered where they
          went: they must be found when they are recalled.
        </dd>
        <dt>Goes</dt>
        <dd>
          Account, sign-ins and tokens; names and notes of the cars; original files, signals, hours and notes of their
          drives.
        </dd>
        <dt>Stays</dt>
        <dd>
          Shifts and their measures, under cars without a name, so that what they showed of a revision still counts. The
          audit trail keeps that it happened, and the names in entries of before.
        </dd>
        <dt>Later</dt>
        <dd>Backups made before hold everything until they are removed by age.</dd>
      </dl>
      <Caution title="This cannot be undone">
        What stays can never be analysed anew, and the cars are offered no revision any more: whoever drives on with
        maps of the club no longer learns of a recall.
      </Caution>
      <TextInput
        label="E-mail address of the account, to confirm"
        description={`Type ${email}`}
        type="email"
        autoComplete="off"
        value={typed}
        onChange={(event) => setTyped(event.currentTarget.value)}
      />
      {error !== null && <ProblemNotice error={error} />}
      <div>
        <Button
          color="red.9"
          size="xs"
          loading={isPending}
          disabled={typed.trim().toLowerCase() !== email}
          onClick={() => onErase(typed.trim())}
        >
          {label}
        </Button>
      </div>
    </Stack>
  );
}

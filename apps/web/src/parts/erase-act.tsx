import { Button, Stack, TextInput } from '@mantine/core';
import { useState } from 'react';
import { Caution } from './caution.js';
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
      <Caution title="This cannot be undone">
        Removed for good: the account with its sign-ins and tokens, the names of the cars, the original files, signals,
        hours and notes of their drives. Kept, under cars without a name: shifts and their measures, so that what they
        showed of a revision still counts. The audit trail keeps that it happened, and what was entered into it before.
        Backups made before keep everything until they are removed by age. Drives that are kept can never be analysed
        anew.
      </Caution>
      <TextInput
        label="E-mail address of the account, to confirm"
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

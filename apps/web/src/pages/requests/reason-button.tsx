import { Button, Group, TextInput } from '@mantine/core';
import { type ReactNode, useState } from 'react';
import { ProblemNotice } from '../../parts/problem-notice.js';

interface ReasonButtonProps {
  /** What is done, as the button says it. */
  readonly children: ReactNode;
  readonly label: string;
  readonly isPending: boolean;
  readonly error: unknown;
  /** `done` closes the question. */
  readonly onConfirm: (reason: string, done: () => void) => void;
}

/** A button that asks for a reason before it acts; the reason may be left empty. */
export function ReasonButton({ children, label, isPending, error, onConfirm }: ReasonButtonProps) {
  const [isAsking, setAsking] = useState(false);
  const [reason, setReason] = useState('');
  if (!isAsking) {
    return (
      <Button size="compact-sm" variant="default" onClick={() => setAsking(true)}>
        {children}
      </Button>
    );
  }
  return (
    <form
      onSubmit={(event) => {
        event.preventDefault();
        onConfirm(reason, () => setAsking(false));
      }}
    >
      <TextInput
        size="xs"
        label={label}
        maxLength={500}
        autoFocus
        value={reason}
        onChange={(event) => setReason(event.currentTarget.value)}
      />
      {error !== null && <ProblemNotice error={error} />}
      <Group gap="xs" mt={6}>
        <Button size="compact-sm" type="submit" loading={isPending}>
          {children}
        </Button>
        <Button size="compact-sm" variant="default" onClick={() => setAsking(false)}>
          Cancel
        </Button>
      </Group>
    </form>
  );
}

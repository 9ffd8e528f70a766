import { TextInput } from '@mantine/core';
import type { ComponentProps } from 'react';

/** Where a code of the second factor is entered. */
export function CodeField(props: ComponentProps<typeof TextInput>) {
  return (
    <TextInput
      label="Code"
      description="Of your authenticator app, or a recovery code"
      autoComplete="one-time-code"
      autoFocus
      {...props}
    />
  );
}

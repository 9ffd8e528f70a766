import { Stack, Text, Title } from '@mantine/core';
import type { ReactNode } from 'react';

interface EmptyStateProps {
  readonly title: string;
  /** Why there is nothing, and what to do next. */
  readonly children: ReactNode;
  /** The button or link of the next step. */
  readonly action?: ReactNode;
}

/** Nothing is here yet: says what to do next. */
export function EmptyState({ title, children, action }: EmptyStateProps) {
  return (
    <Stack gap="xs" align="flex-start" py="lg" maw={560}>
      <Title order={2}>{title}</Title>
      <Text c="dimmed" component="div">
        {children}
      </Text>
      {action}
    </Stack>
  );
}

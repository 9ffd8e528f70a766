import { Button, Group, Modal, Stack, Text } from '@mantine/core';
import { useBlocker } from '@tanstack/react-router';
import type { SaveQueue } from './model/save-queue.js';

/** Saves before the page is left, and asks when that fails. A tab that is closed early is held by the browser itself. */
export function LeaveGuard({ queue }: { readonly queue: SaveQueue }) {
  const blocker = useBlocker({
    shouldBlockFn: async ({ current, next }) => {
      if (next.pathname === current.pathname || queue.isClean) return false;
      return !(await queue.flush());
    },
    enableBeforeUnload: () => !queue.isClean,
    withResolver: true,
  });
  return (
    <Modal
      opened={blocker.status === 'blocked'}
      onClose={() => blocker.reset?.()}
      title="Not everything is saved"
      closeButtonProps={{ 'aria-label': 'Close' }}
    >
      <Stack gap="sm">
        <Text>The last changes did not reach the server. Leaving the page loses them.</Text>
        <Group justify="flex-end">
          <Button
            variant="default"
            onClick={() => {
              queue.forget();
              blocker.proceed?.();
            }}
          >
            Leave without them
          </Button>
          <Button data-autofocus onClick={() => blocker.reset?.()}>
            Stay
          </Button>
        </Group>
      </Stack>
    </Modal>
  );
}

import { Button, Code, CopyButton, Group, Text } from '@mantine/core';
import type { ReactNode } from 'react';
import classes from './secret-link.module.css';

interface SecretLinkProps {
  /** The whole address. */
  readonly address: string;
  /** For whom it is, and until when. */
  readonly children: ReactNode;
}

/** A link that is its own key, to be copied: it is never shown again. */
export function SecretLink({ address, children }: SecretLinkProps) {
  return (
    <div className={classes.link} role="status">
      <Text fw={600}>Copy this link now: it is not shown again.</Text>
      <Group gap="sm" wrap="nowrap" align="center">
        <Code className={classes.address ?? ''}>{address}</Code>
        <CopyButton value={address}>
          {({ copied, copy }) => (
            <Button size="xs" variant="default" style={{ flexShrink: 0 }} onClick={copy}>
              {copied ? 'Copied' : 'Copy'}
            </Button>
          )}
        </CopyButton>
      </Group>
      <Text size="sm" c="dimmed">
        {children}
      </Text>
    </div>
  );
}

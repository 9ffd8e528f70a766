import { Button, CopyButton, Group, Text } from '@mantine/core';
import classes from './account.module.css';

interface RecoveryCodesProps {
  readonly codes: readonly string[];
  readonly onKept: () => void;
}

/** The codes for when the app is lost, shown this once. */
export function RecoveryCodes({ codes, onKept }: RecoveryCodesProps) {
  return (
    <div className={classes.made} role="status">
      <Text fw={600}>Keep these recovery codes now: they are not shown again.</Text>
      <Text size="sm">
        Each lets you in once in place of a code of the app, for when the app is lost. Print them, or put them where you
        keep your password.
      </Text>
      <ul className={classes.codes}>
        {codes.map((code) => (
          <li key={code}>
            <code>{code}</code>
          </li>
        ))}
      </ul>
      <Group gap="sm">
        <CopyButton value={codes.join('\n')}>
          {({ copied, copy }) => (
            <Button size="xs" variant="default" onClick={copy}>
              {copied ? 'Copied' : 'Copy all'}
            </Button>
          )}
        </CopyButton>
        <Button size="xs" onClick={onKept}>
          I have kept them
        </Button>
      </Group>
    </div>
  );
}

import { Button, Popover, SegmentedControl, Stack, Text, useMantineColorScheme } from '@mantine/core';
import { useDisclosure } from '@mantine/hooks';
import type { Session } from '@syncline/contract';
import { useSignOut } from '../api/session.js';
import { ROLE_WORDS } from '../format/words.js';
import { ButtonLink } from '../parts/text-link.js';
import { useKeptFocus } from '../parts/use-kept-focus.js';
import { useOncePainted } from '../parts/use-once-painted.js';

interface PersonMenuProps {
  readonly session: Session;
  readonly onHelp: () => void;
}

/** Who is signed in, the theme switch, help and the way out. */
export function PersonMenu({ session, onHelp }: PersonMenuProps) {
  const { colorScheme, setColorScheme } = useMantineColorScheme();
  const [isOpen, menu] = useDisclosure(false);
  const signOut = useSignOut();
  const { name, email, role } = session.person;
  const button = (
    <Button ref={useKeptFocus()} variant="default" size="xs" fw={500} onClick={menu.toggle}>
      {name}
    </Button>
  );
  if (!useOncePainted()) return button;
  return (
    <Popover opened={isOpen} onChange={menu.set} position="bottom-end" width={250} shadow="sm" trapFocus returnFocus>
      <Popover.Target>{button}</Popover.Target>
      <Popover.Dropdown aria-label="Person and theme">
        <Stack gap="xs">
          <div>
            <Text fw={600}>
              {ROLE_WORDS[role]}, {session.clubName}
            </Text>
            <Text size="sm" c="dimmed">
              {email}
            </Text>
          </div>
          <SegmentedControl
            fullWidth
            size="xs"
            aria-label="Theme"
            value={colorScheme}
            onChange={(value) => setColorScheme(value as typeof colorScheme)}
            data={[
              { value: 'auto', label: 'System' },
              { value: 'light', label: 'Light' },
              { value: 'dark', label: 'Dark' },
            ]}
          />
          <ButtonLink to="/account" variant="default" size="xs" onClick={menu.close}>
            Account and sign-ins
          </ButtonLink>
          <Button variant="default" size="xs" onClick={onHelp}>
            Keys (?)
          </Button>
          <Button variant="default" size="xs" loading={signOut.isPending} onClick={() => signOut.mutate()}>
            Sign out
          </Button>
        </Stack>
      </Popover.Dropdown>
    </Popover>
  );
}

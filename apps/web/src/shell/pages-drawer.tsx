import { Drawer } from '@mantine/core';
import classes from './app-frame.module.css';
import type { NavigationEntry } from './navigation.js';
import { NavigationLinks } from './navigation-links.js';

interface PagesDrawerProps {
  readonly title: string;
  readonly entries: readonly NavigationEntry[];
  readonly isOpen: boolean;
  readonly onClose: () => void;
}

/** The pages where a window is too narrow to have them side by side. */
export function PagesDrawer({ title, entries, isOpen, onClose }: PagesDrawerProps) {
  return (
    <Drawer opened={isOpen} onClose={onClose} title={title} size="80%" closeButtonProps={{ 'aria-label': 'Close' }}>
      <nav className={classes.drawerLinks} aria-label="Pages">
        <NavigationLinks entries={entries} onFollow={onClose} />
      </nav>
    </Drawer>
  );
}

import { Burger, Drawer } from '@mantine/core';
import { useDisclosure } from '@mantine/hooks';
import type { Session } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { Link, Outlet, useRouter } from '@tanstack/react-router';
import { useEffect } from 'react';
import { sessionQueries } from '../api/session.js';
import { RequiredSecondFactor } from '../pages/account/required-second-factor.js';
import { ConsentPage } from '../pages/consent/consent-page.js';
import classes from './app-frame.module.css';
import { Brand } from './brand.js';
import { KeyHelp } from './key-help.js';
import { type NavigationEntry, navigationFor } from './navigation.js';
import { PersonMenu } from './person-menu.js';
import { ReviewCount } from './review-count.js';
import { useShellKeys } from './use-shell-keys.js';

/** Frame of every page behind sign-in: header, navigation, main part. */
export function AppFrame() {
  const router = useRouter();
  const { data: session } = useQuery(sessionQueries.current());
  useEffect(() => {
    if (session === null) void router.invalidate();
  }, [session, router]);
  if (session === null || session === undefined) return null;
  return <SignedInFrame session={session} />;
}

/** As many pages stand side by side where a window is not wide; more of them fold away sooner. */
const FEW_PAGES = 8;

function SignedInFrame({ session }: { readonly session: Session }) {
  const [isDrawerOpen, drawer] = useDisclosure(false);
  const [isHelpOpen, help] = useDisclosure(false);
  useShellKeys(help.open);
  const entries = navigationFor(session.person.role);
  return (
    <>
      <a className={classes.skip} href="#main" onClick={focusMain}>
        Skip to the page
      </a>
      <header className={classes.header} data-pages={entries.length > FEW_PAGES ? 'many' : 'few'}>
        <Burger
          className={classes.burger ?? ''}
          opened={isDrawerOpen}
          onClick={drawer.toggle}
          aria-label="Pages"
          size="sm"
        />
        <Brand />
        <nav className={classes.links} aria-label="Pages">
          <NavigationLinks entries={entries} />
        </nav>
        <div className={classes.side}>
          <PersonMenu session={session} onHelp={help.open} />
        </div>
      </header>
      <Drawer
        opened={isDrawerOpen}
        onClose={drawer.close}
        title={session.clubName}
        size="80%"
        closeButtonProps={{ 'aria-label': 'Close' }}
      >
        <nav className={classes.drawerLinks} aria-label="Pages">
          <NavigationLinks entries={entries} onFollow={drawer.close} />
        </nav>
      </Drawer>
      <main id="main" className={classes.main} tabIndex={-1}>
        <OpenPage session={session} />
      </main>
      <KeyHelp isOpen={isHelpOpen} onClose={help.close} />
    </>
  );
}

/** The page that was asked for, unless something is asked of its person first. */
function OpenPage({ session: { needs } }: { readonly session: Session }) {
  if (needs.secondFactor) return <RequiredSecondFactor />;
  return needs.consent ? <ConsentPage /> : <Outlet />;
}

/** `<base href>` would send a bare fragment to the first page, so the focus is moved by hand. */
function focusMain(event: React.MouseEvent): void {
  event.preventDefault();
  document.getElementById('main')?.focus();
}

interface NavigationLinksProps {
  readonly entries: readonly NavigationEntry[];
  readonly onFollow?: () => void;
}

function NavigationLinks({ entries, onFollow }: NavigationLinksProps) {
  return entries.map(({ to, label }) => (
    <Link
      key={to}
      to={to}
      className={classes.link ?? ''}
      onClick={onFollow}
      activeOptions={{ exact: to === '/logs', includeSearch: false }}
    >
      {label}
      {to === '/reviews' && <ReviewCount />}
    </Link>
  ));
}

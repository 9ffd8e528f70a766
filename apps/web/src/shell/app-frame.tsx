import { Burger } from '@mantine/core';
import { useDisclosure } from '@mantine/hooks';
import type { Session } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { Outlet, useRouter } from '@tanstack/react-router';
import { lazy, Suspense, useEffect } from 'react';
import { sessionQueries } from '../api/session.js';
import { RowSkeletons } from '../parts/skeletons.js';
import classes from './app-frame.module.css';
import { Brand } from './brand.js';
import { navigationFor } from './navigation.js';
import { NavigationLinks } from './navigation-links.js';
import { OnceOpened } from './once-opened.js';
import { PersonMenu } from './person-menu.js';
import { useShellKeys } from './use-shell-keys.js';

// What few visits see comes when it is asked for.
const PagesDrawer = lazy(async () => ({ default: (await import('./pages-drawer.js')).PagesDrawer }));
const KeyHelp = lazy(async () => ({ default: (await import('./key-help.js')).KeyHelp }));
const ConsentPage = lazy(async () => ({ default: (await import('../pages/consent/consent-page.js')).ConsentPage }));
const RequiredSecondFactor = lazy(async () => ({
  default: (await import('../pages/account/required-second-factor.js')).RequiredSecondFactor,
}));

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
      <OnceOpened isOpen={isDrawerOpen}>
        <PagesDrawer title={session.clubName} entries={entries} isOpen={isDrawerOpen} onClose={drawer.close} />
      </OnceOpened>
      <main id="main" className={classes.main} tabIndex={-1}>
        <OpenPage session={session} />
      </main>
      <OnceOpened isOpen={isHelpOpen}>
        <KeyHelp isOpen={isHelpOpen} onClose={help.close} />
      </OnceOpened>
    </>
  );
}

/** The page that was asked for, unless something is asked of its person first. */
function OpenPage({ session: { needs } }: { readonly session: Session }) {
  if (!needs.secondFactor && !needs.consent) return <Outlet />;
  return (
    <Suspense fallback={<RowSkeletons />}>{needs.secondFactor ? <RequiredSecondFactor /> : <ConsentPage />}</Suspense>
  );
}

/** `<base href>` would send a bare fragment to the first page, so the focus is moved by hand. */
function focusMain(event: React.MouseEvent): void {
  event.preventDefault();
  document.getElementById('main')?.focus();
}

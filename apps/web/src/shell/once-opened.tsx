import { type ReactNode, Suspense, useState } from 'react';

interface OnceOpenedProps {
  readonly isOpen: boolean;
  readonly children: ReactNode;
}

/** Holds a dialog from when it is first opened, so that a page that never opens it never loads it. */
export function OnceOpened({ isOpen, children }: OnceOpenedProps) {
  const [wasOpened, setOpened] = useState(isOpen);
  if (isOpen && !wasOpened) setOpened(true);
  return wasOpened || isOpen ? <Suspense>{children}</Suspense> : null;
}

import type { ReactNode } from 'react';
import { BrandMark } from './brand.js';
import classes from './public-frame.module.css';

/** Frame of the pages before sign-in. */
export function PublicFrame({ children }: { readonly children: ReactNode }) {
  return (
    <div className={classes.frame}>
      <header className={classes.top}>
        <BrandMark />
        Syncline
      </header>
      <main className={classes.main}>{children}</main>
    </div>
  );
}

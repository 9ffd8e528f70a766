import { Title } from '@mantine/core';
import type { ReactNode } from 'react';
import classes from './page-head.module.css';

interface PageHeadProps {
  readonly title: string;
  /** Way back, as links. */
  readonly crumbs?: ReactNode;
  /** One line that says what the page answers. */
  readonly lead?: ReactNode;
  readonly actions?: ReactNode;
  /** Cautions that belong to what is done on this page. */
  readonly cautions?: ReactNode;
}

/** Head of every page: its only first-level heading, which also names the browser tab. */
export function PageHead({ title, crumbs, lead, actions, cautions }: PageHeadProps) {
  return (
    <>
      <title>{`${title} · Syncline`}</title>
      <div className={classes.head}>
        <div>
          {crumbs !== undefined && <div className={classes.crumbs}>{crumbs}</div>}
          <Title order={1}>{title}</Title>
          {lead !== undefined && <div className={classes.lead}>{lead}</div>}
        </div>
        {actions !== undefined && <div className={classes.actions}>{actions}</div>}
      </div>
      {cautions !== undefined && <div className={classes.cautions}>{cautions}</div>}
    </>
  );
}

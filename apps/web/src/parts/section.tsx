import { Title } from '@mantine/core';
import { type ReactNode, useId } from 'react';
import classes from './section.module.css';

interface SectionProps {
  readonly title: ReactNode;
  /** How to read what follows. */
  readonly note?: ReactNode;
  /** Switches and downloads of this section. */
  readonly actions?: ReactNode;
  readonly children: ReactNode;
}

/** A titled part of a page, a landmark of its own. */
export function Section({ title, note, actions, children }: SectionProps) {
  const titleId = useId();
  return (
    <section className={classes.section} aria-labelledby={titleId}>
      <div className={classes.head}>
        <Title order={2} id={titleId}>
          {title}
        </Title>
        {actions !== undefined && <div className={classes.actions}>{actions}</div>}
      </div>
      {note !== undefined && <div className={classes.note}>{note}</div>}
      {children}
    </section>
  );
}

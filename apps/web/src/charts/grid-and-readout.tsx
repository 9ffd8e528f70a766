import type { ReactNode } from 'react';
import classes from './grid-and-readout.module.css';

interface GridAndReadoutProps {
  readonly grid: ReactNode;
  /** The chosen cell in full. */
  readonly readout: ReactNode;
  /** What belongs below the grid, for example profiles. */
  readonly children: ReactNode;
}

/** A grid with its readout beside it; on narrow screens the readout follows the grid, before all else. */
export function GridAndReadout({ grid, readout, children }: GridAndReadoutProps) {
  return (
    <div className={classes.layout}>
      <div className={classes.grid}>{grid}</div>
      <div className={classes.readout}>{readout}</div>
      <div className={classes.rest}>{children}</div>
    </div>
  );
}

import { lazy, type ReactNode, Suspense } from 'react';
import { BlockSkeleton } from '../parts/skeletons.js';
import { axisName, type GridAxis, nodeName } from './grid-axis.js';
import classes from './profile-figure.module.css';
import { PROFILE_HEIGHT_PX, type ProfileLine } from './profile-line.js';

/** The plot library comes after the page is drawn. */
const ProfilePlot = lazy(async () => ({ default: (await import('./profile-plot.js')).ProfilePlot }));

interface ProfileFigureProps {
  /** What is drawn, for example “Base pressure”, and its unit. */
  readonly name: string;
  readonly unit: string;
  /** Axis that the lines run along. */
  readonly along: GridAxis;
  /** The other axis of the table and the node of it that is read, if there is one. */
  readonly across: GridAxis | undefined;
  readonly acrossNode: number;
  /** Node of `along` that is looked at. */
  readonly chosenNode: number;
  /** Must keep its identity while its values are the same. */
  readonly lines: readonly ProfileLine[];
  /** Lowest and highest value: the same for both profiles of a table, so that they can be compared. */
  readonly extent: readonly [number, number];
  /** Names of the lines, where there is more than one to read. */
  readonly legend?: ReactNode;
}

/** A table read along one axis. The same figures stand in the grid above it. */
export function ProfileFigure(props: ProfileFigureProps) {
  const { name, unit, along, across, acrossNode, chosenNode, lines, extent, legend } = props;
  const at = across === undefined ? '' : ` at ${lowerFirst(nodeName(across, acrossNode))}`;
  const caption = `Along ${lowerFirst(along.title)}${at}`;
  return (
    <figure className={classes.figure}>
      <figcaption className={classes.caption}>
        {caption}
        {legend !== undefined && <>: {legend}</>}
      </figcaption>
      <Suspense fallback={<BlockSkeleton height={PROFILE_HEIGHT_PX} />}>
        <ProfilePlot
          label={`${name}, ${lowerFirst(caption)}; the grid above has the figures`}
          axis={along}
          valueName={axisName({ title: name, unit })}
          lines={lines}
          extent={extent}
          chosenNode={chosenNode}
        />
      </Suspense>
    </figure>
  );
}

/** Two figures side by side, one below the other on narrow screens. */
export function ProfileFigures({ children }: { readonly children: ReactNode }) {
  return <div className={classes.figures}>{children}</div>;
}

function lowerFirst(text: string): string {
  return text.charAt(0).toLowerCase() + text.slice(1);
}

import { memo, useMemo } from 'react';
import type { GridAxis } from '../../charts/grid-axis.js';
import type { GridPlace } from '../../charts/grid-place.js';
import { ProfileFigure, ProfileFigures } from '../../charts/profile-figure.js';
import type { ProfileLine } from '../../charts/profile-line.js';
import { columnProfile, rowProfile } from '../revision/profiles.js';
import { extentOf, type TableView } from '../revision/table-view.js';
import classes from './draft.module.css';

interface DraftProfilesProps {
  readonly view: TableView;
  readonly parentValues: readonly number[] | null;
  readonly place: GridPlace;
}

/** The table along both axes through the active cell: the draft solid, the parent dashed. */
export const DraftProfiles = memo(function DraftProfiles({ view, parentValues, place }: DraftProfilesProps) {
  const { rowAxis, columnAxis, size, values } = view;
  const extent = useMemo(() => extentOf([...values, ...(parentValues ?? [])]), [values, parentValues]);
  if (columnAxis === undefined) return null;
  const row = Math.min(place.row, size.rows - 1);
  const column = Math.min(place.column, size.columns - 1);
  const common = { view, parentValues, extent };
  return (
    <ProfileFigures>
      <Profile {...common} along={columnAxis} across={rowAxis} line={row} node={column} profile={rowProfile} />
      {rowAxis !== undefined && (
        <Profile {...common} along={rowAxis} across={columnAxis} line={column} node={row} profile={columnProfile} />
      )}
    </ProfileFigures>
  );
});

interface ProfileProps {
  readonly view: TableView;
  readonly parentValues: readonly number[] | null;
  readonly extent: readonly [number, number];
  readonly along: GridAxis;
  readonly across: GridAxis | undefined;
  /** Row or column that is drawn, and the active node on it. */
  readonly line: number;
  readonly node: number;
  readonly profile: typeof rowProfile;
}

function Profile({ view, parentValues, extent, along, across, line, node, profile }: ProfileProps) {
  const { values, size } = view;
  const lines = useMemo((): ProfileLine[] => {
    const draft: ProfileLine = { id: 'draft', values: profile(values, size, line), look: 'strong' };
    if (parentValues === null) return [draft];
    return [{ id: 'parent', values: profile(parentValues, size, line), look: 'dashed' }, draft];
  }, [values, parentValues, size, line, profile]);
  return (
    <ProfileFigure
      name={view.spec.title}
      unit={view.unit}
      along={along}
      across={across}
      acrossNode={line}
      chosenNode={node}
      lines={lines}
      extent={extent}
      legend={
        parentValues !== null && (
          <>
            <span className={classes.solid}>draft</span>, <span className={classes.dashed}>parent</span>
          </>
        )
      }
    />
  );
}

import { useMemo } from 'react';
import type { GridAxis } from '../../charts/grid-axis.js';
import type { GridPlace } from '../../charts/grid-place.js';
import { ProfileFigure, ProfileFigures } from '../../charts/profile-figure.js';
import type { ProfileLine } from '../../charts/profile-line.js';
import { columnProfile, rowProfile } from './profiles.js';
import type { TableView } from './table-view.js';

/** The table read along its axes through the chosen cell; its other rows and columns stand thin behind. */
export function CellProfiles({ view, place }: { readonly view: TableView; readonly place: GridPlace }) {
  const { row, column } = place;
  const { rowAxis, columnAxis } = view;
  if (columnAxis === undefined) return null;
  return (
    <ProfileFigures>
      <Profile view={view} along={columnAxis} across={rowAxis} line={row} node={column} profile={rowProfile} />
      {rowAxis !== undefined && (
        <Profile view={view} along={rowAxis} across={columnAxis} line={column} node={row} profile={columnProfile} />
      )}
    </ProfileFigures>
  );
}

interface ProfileProps {
  readonly view: TableView;
  readonly along: GridAxis;
  readonly across: GridAxis | undefined;
  /** Row or column that is drawn strong, and the chosen node on it. */
  readonly line: number;
  readonly node: number;
  readonly profile: typeof rowProfile;
}

function Profile({ view, along, across, line, node, profile }: ProfileProps) {
  const count = across?.breakpoints.length ?? 1;
  const lines = useMemo(
    () =>
      Array.from(
        { length: count },
        (_, index): ProfileLine => ({
          id: String(index),
          values: profile(view.values, view.size, index),
          look: index === line ? 'strong' : 'context',
        }),
      ),
    [view, count, line, profile],
  );
  return (
    <ProfileFigure
      name={view.spec.title}
      unit={view.unit}
      along={along}
      across={across}
      acrossNode={line}
      chosenNode={node}
      lines={lines}
      extent={view.extent}
      legend={count > 1 ? 'the others stand thin behind' : undefined}
    />
  );
}

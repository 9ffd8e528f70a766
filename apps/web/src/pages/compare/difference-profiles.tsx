import { useMemo } from 'react';
import type { GridAxis } from '../../charts/grid-axis.js';
import type { GridPlace } from '../../charts/grid-place.js';
import { ProfileFigure, ProfileFigures } from '../../charts/profile-figure.js';
import type { ProfileLine } from '../../charts/profile-line.js';
import { columnProfile, rowProfile } from '../revision/profiles.js';
import { extentOf } from '../revision/table-view.js';
import classes from './compare.module.css';
import type { GridDifference } from './difference-grid.js';
import type { PairLabels } from './pair-labels.js';

interface DifferenceProfilesProps {
  readonly difference: GridDifference;
  readonly labels: PairLabels;
  readonly place: GridPlace;
}

/** Both revisions read along each axis through the chosen cell. */
export function DifferenceProfiles({ difference, labels, place }: DifferenceProfilesProps) {
  const { rowAxis, columnAxis } = difference;
  if (columnAxis === undefined) return null;
  return (
    <ProfileFigures>
      <Profile
        difference={difference}
        labels={labels}
        along={columnAxis}
        across={rowAxis}
        line={place.row}
        node={place.column}
        profile={rowProfile}
      />
      {rowAxis !== undefined && (
        <Profile
          difference={difference}
          labels={labels}
          along={rowAxis}
          across={columnAxis}
          line={place.column}
          node={place.row}
          profile={columnProfile}
        />
      )}
    </ProfileFigures>
  );
}

interface ProfileProps {
  readonly difference: GridDifference;
  readonly labels: PairLabels;
  readonly along: GridAxis;
  readonly across: GridAxis | undefined;
  readonly line: number;
  readonly node: number;
  readonly profile: typeof rowProfile;
}

function Profile({ difference, labels, along, across, line, node, profile }: ProfileProps) {
  const { base, other, size, name, unit } = difference;
  const lines = useMemo(
    (): ProfileLine[] => [
      { id: 'base', values: profile(base, size, line), look: 'dashed' },
      { id: 'other', values: profile(other, size, line), look: 'strong' },
    ],
    [base, other, size, line, profile],
  );
  const extent = useMemo(() => extentOf([...base, ...other]), [base, other]);
  return (
    <ProfileFigure
      name={name}
      unit={unit}
      along={along}
      across={across}
      acrossNode={line}
      chosenNode={node}
      lines={lines}
      extent={extent}
      legend={
        <>
          <span className={classes.solid}>{labels.other}</span>, <span className={classes.dashed}>{labels.base}</span>
        </>
      }
    />
  );
}

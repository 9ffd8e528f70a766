import type { CalibrationResponse } from '@syncline/contract';
import { EmptyState } from '../../parts/empty-state.js';
import { ButtonLink, TextLink } from '../../parts/text-link.js';
import { newestPairs } from './newest-pairs.js';

interface ChooseTwoProps {
  readonly calibrations: readonly CalibrationResponse[];
  readonly isSameTwice: boolean;
}

/** Nothing to compare yet: offers the newest revision of each calibration against its parent. */
export function ChooseTwo({ calibrations, isSameTwice }: ChooseTwoProps) {
  const pairs = newestPairs(calibrations);
  if (pairs.length === 0) {
    return (
      <EmptyState
        title="There are not two revisions yet"
        action={<ButtonLink to="/calibrations">Calibrations</ButtonLink>}
      >
        A second revision is needed before anything can be compared.
      </EmptyState>
    );
  }
  return (
    <EmptyState title={isSameTwice ? 'This is the same revision twice' : 'Choose two revisions'}>
      Choose them above, or start with the newest against its parent:
      <ul>
        {pairs.map(({ base, other, words }) => (
          <li key={other}>
            <TextLink to="/compare" search={{ base, other }}>
              {words}
            </TextLink>
          </li>
        ))}
      </ul>
    </EmptyState>
  );
}

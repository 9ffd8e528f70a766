import type { RevisionResponse } from '@syncline/contract';
import { counted } from '../../format/quantity.js';
import { endOf } from '../../format/rate-columns.js';
import { GradeMark } from '../../parts/grade-mark.js';
import { HelpTerm } from '../../parts/help-term.js';
import { RateCell } from '../../parts/rate-cell.js';
import { Section } from '../../parts/section.js';
import { TextLink } from '../../parts/text-link.js';
import classes from './revision.module.css';

const OUTCOMES = [
  { key: 'flare', grade: 'flare' },
  { key: 'tieUp', grade: 'tie-up' },
  { key: 'harsh', grade: 'harsh' },
  { key: 'slow', grade: 'slow' },
  { key: 'clean', grade: 'clean' },
] as const;
/** Right end of the bars of what should be rare. */
const SMALLEST_SCALE = 0.1;

/** Rate of each grade over every shift driven with the revision. */
export function OutcomeSection({ revision }: { readonly revision: RevisionResponse }) {
  const { outcome, id } = revision;
  const barMax = Math.max(SMALLEST_SCALE, ...OUTCOMES.slice(0, 4).map(({ key }) => endOf(outcome[key], 'high') ?? 0));
  return (
    <Section
      title="Outcome on the road"
      note={
        <>
          Over every shift driven with it, however it was driven, with{' '}
          <HelpTerm term="interval">95 % intervals</HelpTerm>. A shift may have several grades. Compare adjusts for
          different driving.
        </>
      }
    >
      <dl className={classes.outcomes}>
        {OUTCOMES.map(({ key, grade }) => (
          <div key={key}>
            <dt>
              <GradeMark grade={grade} />
            </dt>
            <dd>
              <RateCell rate={outcome[key]} barMax={grade === 'clean' ? 1 : barMax} />
              {outcome[key].events > 0 && (
                <div className={classes.behind}>
                  <TextLink to="/shifts" search={{ revision: id, grade }}>
                    open {counted(outcome[key].events, 'shift')}
                  </TextLink>
                </div>
              )}
            </dd>
          </div>
        ))}
      </dl>
    </Section>
  );
}

import type { ReportResponse } from '@syncline/contract';
import { counted } from '../../format/quantity.js';
import { sentence } from '../../format/words.js';
import { AskedDriveCaution } from '../../parts/caution.js';
import { Section } from '../../parts/section.js';
import classes from './report.module.css';
import { wishFigures, wishWords } from './wish-words.js';

/** Where the fleet lacks evidence that this car can give, and the caution that goes with driving for it. */
export function WishesSection({ wishes }: { readonly wishes: ReportResponse['wishes'] }) {
  const { items, revisionLabel, neededShifts, neededVehicles } = wishes;
  const about = revisionLabel === null ? 'the platform' : revisionLabel;
  return (
    <Section
      title="What to drive next"
      note={`Operating points where too little is known of ${about} and that lie beside what this car has driven. A point needs ${counted(neededShifts, 'shift')} in ${counted(neededVehicles, 'car')}.`}
    >
      {items.length === 0 ? (
        <p className={classes.story}>Nothing in particular: what this car reaches has been driven enough. Thank you.</p>
      ) : (
        <>
          <ul className={classes.lines}>
            {items.map((wish) => (
              <li key={`${wish.kind} ${wish.load.index} ${wish.fluidTemperature.index}`}>
                {sentence(wishWords(wish))}.
                <span className={classes.small}>{sentence(wishFigures(wish, neededShifts))}.</span>
              </li>
            ))}
          </ul>
          <AskedDriveCaution />
        </>
      )}
    </Section>
  );
}

import type { ReleaseResponse } from '@syncline/contract';
import { counted } from '../../format/quantity.js';
import { Section } from '../../parts/section.js';
import { stageSizeWords } from './release-words.js';
import classes from './releases.module.css';

/** The stages as a ladder: how many cars each takes, what it needs, and where the release stands. */
export function LadderSection({ release }: { readonly release: ReleaseResponse }) {
  const { stages, stage, state, evidence, cohortCount, cars } = release;
  const why = release.acts.find(({ act }) => act === 'widen')?.whyNot ?? null;
  return (
    <Section
      title="Stages"
      note={`${counted(cohortCount, 'car')} in the cohort now. Which go first is told by a hash of release and car; a car that was taken in stays in.`}
    >
      <ol className={classes.ladder}>
        {stages.map((entry, index) => {
          const place = state === 'draft' || index > stage ? 'ahead' : index === stage ? 'now' : 'past';
          const isEnough = evidence.shifts >= entry.minShifts && evidence.vehicles >= entry.minVehicles;
          const takenHere = cars.filter((car) => car.stage === index).length;
          return (
            <li key={stageSizeWords(entry)} className={classes.rung} data-place={place}>
              <span className={classes.rungNumber}>{index + 1}</span>
              <span>
                {stageSizeWords(entry)}
                <span className={classes.small}>{counted(entry.cars, 'car')}</span>
              </span>
              <span>
                {place === 'now' && <strong>{state === 'complete' ? 'Done. ' : 'Now. '}</strong>}
                {place === 'past' && 'Done. '}
                {place !== 'ahead' && `${counted(takenHere, 'car')} taken in. `}
                {place === 'now' && (
                  <>
                    {counted(evidence.shifts, 'shift')} of {counted(evidence.vehicles, 'car')} came in
                  </>
                )}
                <span className={classes.small}>
                  Needs {counted(entry.minShifts, 'shift')} of {counted(entry.minVehicles, 'car')} before the next.
                  {place === 'now' && state === 'running' && isEnough && why !== null && ` ${why}`}
                </span>
              </span>
            </li>
          );
        })}
      </ol>
    </Section>
  );
}

import type { ProposalResponse } from '@syncline/contract';
import { Section } from '../../parts/section.js';
import { TextLink } from '../../parts/text-link.js';
import { oddWords } from './proposal-words.js';
import classes from './proposals.module.css';

interface OddCarsSectionProps {
  readonly proposal: ProposalResponse;
  readonly result: NonNullable<ProposalResponse['result']>;
}

/** Cars that are improbable among the others, each with its why. */
export function OddCarsSection({ proposal, result }: OddCarsSectionProps) {
  const cars = result.vehicles.filter((vehicle) => vehicle.odd.length > 0);
  return (
    <Section
      title="Odd cars"
      note="What belongs to single cars is kept out of the map. One in five clean fleets still has a car named by chance."
    >
      {cars.length === 0 ? (
        <p className={classes.soft}>None of the {result.vehicles.length} cars stands out.</p>
      ) : (
        <ul className={classes.odd}>
          {cars.map((vehicle) => (
            <li key={vehicle.vehicleId}>
              <TextLink to="/vehicles/$vehicleId" params={{ vehicleId: vehicle.vehicleId }}>
                {vehicle.vehicleTitle}
              </TextLink>
              : {vehicle.odd.map((odd) => oddWords(odd, proposal.subject)).join(' ')}
            </li>
          ))}
        </ul>
      )}
    </Section>
  );
}

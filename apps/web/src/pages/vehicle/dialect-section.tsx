import { Select, Text } from '@mantine/core';
import { mayDo, type VehicleResponse } from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useSession } from '../../api/session.js';
import { useUpdateVehicle, vehicleQueries } from '../../api/vehicles.js';
import { Caution } from '../../parts/caution.js';
import { HelpTerm } from '../../parts/help-term.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { Section } from '../../parts/section.js';
import { ClearanceMark, VerdictMark } from '../../parts/state-mark.js';
import { TextLink } from '../../parts/text-link.js';
import { useDialectTitles } from '../../parts/use-dialect-titles.js';
import { DialectDecisions } from './dialect-decisions.js';
import { DialectObservations } from './dialect-observations.js';
import classes from './vehicle.module.css';

interface DialectSectionProps {
  readonly vehicle: VehicleResponse;
  readonly mayWrite: boolean;
}

/** Declared against observed bus dialect, what that means for the car, and who observed and decided what. */
export function DialectSection({ vehicle, mayWrite }: DialectSectionProps) {
  const mayObserve = mayDo(useSession().person.role, 'vehicle:observe');
  const { dialects, titleOf } = useDialectTitles(vehicle.platformId);
  const dialect = useQuery(vehicleQueries.dialect(vehicle.id));
  const reason = dialect.data?.reason;
  return (
    <Section
      title={<HelpTerm term="dialect">Bus dialect</HelpTerm>}
      note={
        <>
          A label is no proof. A bus <HelpTerm term="capture">capture</HelpTerm> of half a minute is held against what
          is known of each dialect; upload it like a drive.
        </>
      }
    >
      <div className={classes.dialects}>
        <dl>
          <div>
            <dt>Declared</dt>
            <dd>{titleOf(vehicle.declaredDialect)}</dd>
          </div>
          <div>
            <dt>Observed</dt>
            <dd>{titleOf(vehicle.observedDialect)}</dd>
          </div>
          <div>
            <dt>Verdict</dt>
            <dd>
              <VerdictMark verdict={vehicle.dialectVerdict} />
            </dd>
          </div>
          <div>
            <dt>Revisions for this car</dt>
            <dd>
              <ClearanceMark isCleared={vehicle.isDialectCleared} />
            </dd>
          </div>
        </dl>
      </div>
      {dialect.error !== null && <ProblemNotice error={dialect.error} onRetry={() => void dialect.refetch()} />}
      {vehicle.isDialectCleared ? (
        <Text size="sm">{reason}</Text>
      ) : (
        <Caution title="No revision may be installed in this car">
          {reason ?? 'Its bus dialect is not confirmed.'} Maps for another bus can command wrong pressures.
        </Caution>
      )}
      {mayWrite && <DeclareChoice vehicle={vehicle} dialects={dialects} />}
      <DialectDecisions vehicle={vehicle} decisions={dialect.data?.decisions ?? []} titleOf={titleOf} />
      <DialectObservations vehicle={vehicle} dialects={dialects} titleOf={titleOf} mayObserve={mayObserve} />
      <Text size="sm" mt="sm">
        <TextLink to="/platforms/$platformId" params={{ platformId: vehicle.platformId }}>
          What is known of the dialects of the {vehicle.platformTitle}
        </TextLink>
      </Text>
    </Section>
  );
}

interface DeclareChoiceProps {
  readonly vehicle: VehicleResponse;
  readonly dialects: readonly { readonly id: string; readonly title: string }[];
}

function DeclareChoice({ vehicle, dialects }: DeclareChoiceProps) {
  const update = useUpdateVehicle(vehicle);
  return (
    <div className={classes.inline}>
      <Select
        label="Alter what is declared"
        description="Declaring what was observed before confirms nothing: a new capture or a maintainer must."
        inputWrapperOrder={['label', 'input', 'description', 'error']}
        placeholder="Not known"
        clearable
        w={320}
        data={dialects.map(({ id, title }) => ({ value: id, label: title }))}
        value={vehicle.declaredDialect}
        disabled={update.isPending}
        onChange={(declaredDialect) => update.mutate({ declaredDialect })}
      />
      {update.error !== null && <ProblemNotice error={update.error} />}
    </div>
  );
}

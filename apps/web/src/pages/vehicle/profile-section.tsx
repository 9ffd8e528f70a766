import { Button, Group } from '@mantine/core';
import { useDisclosure } from '@mantine/hooks';
import { updateVehicleRequest, type VehicleResponse } from '@syncline/contract';
import { useUpdateVehicle } from '../../api/vehicles.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { Section } from '../../parts/section.js';
import { useForm } from '../../parts/use-form.js';
import { Value } from '../../parts/value.js';
import { TagsField } from '../releases/tags-field.js';
import { ProfileFields } from './profile-fields.js';
import classes from './vehicle.module.css';

interface ProfileSectionProps {
  readonly vehicle: VehicleResponse;
  readonly mayWrite: boolean;
}

/** What the tester says the car is. */
export function ProfileSection({ vehicle, mayWrite }: ProfileSectionProps) {
  const [isEditing, edit] = useDisclosure(false);
  return (
    <Section
      title="Profile"
      actions={
        mayWrite &&
        !isEditing && (
          <Button variant="default" size="compact-sm" onClick={edit.open}>
            Alter
          </Button>
        )
      }
    >
      {isEditing ? <ProfileForm vehicle={vehicle} onDone={edit.close} /> : <ProfileFacts vehicle={vehicle} />}
    </Section>
  );
}

function ProfileFacts({ vehicle }: { readonly vehicle: VehicleResponse }) {
  return (
    <>
      <dl className={classes.facts}>
        <dt>Gearbox</dt>
        <dd>{vehicle.platformTitle}</dd>
        <dt>Engine</dt>
        <dd>{vehicle.engine || '–'}</dd>
        <dt>Tags</dt>
        <dd>
          <TagsField vehicle={vehicle} />
        </dd>
        <dt>Mass</dt>
        <dd>
          <Value value={vehicle.massKg} unit="kg" />
        </dd>
        <dt>Rated torque into the gearbox</dt>
        <dd>
          <Value value={vehicle.ratedInputTorqueNm} unit="N·m" />
        </dd>
        <dt>Inertia of the input side</dt>
        <dd>
          <Value value={vehicle.inputInertiaKgM2} unit="kg·m²" />
        </dd>
        <dt>Rolling radius</dt>
        <dd>
          <Value value={vehicle.tyreRadiusM} unit="m" />
        </dd>
        <dt>Final drive ratio</dt>
        <dd>
          <Value value={vehicle.finalDriveRatio} unit="" /> : 1
        </dd>
      </dl>
      {vehicle.note !== '' && <p className={classes.note}>{vehicle.note}</p>}
    </>
  );
}

function ProfileForm({ vehicle, onDone }: { readonly vehicle: VehicleResponse; readonly onDone: () => void }) {
  const update = useUpdateVehicle(vehicle);
  const form = useForm({
    initial: {
      title: vehicle.title,
      engine: vehicle.engine,
      massKg: vehicle.massKg as number | string,
      ratedInputTorqueNm: vehicle.ratedInputTorqueNm as number | string,
      inputInertiaKgM2: vehicle.inputInertiaKgM2 as number | string,
      tyreRadiusM: vehicle.tyreRadiusM as number | string,
      finalDriveRatio: vehicle.finalDriveRatio as number | string,
      note: vehicle.note,
    },
    // A field left empty is a mistake here, not a wish to leave the value as it is.
    schema: updateVehicleRequest.required().omit({ declaredDialect: true }),
    error: update.error,
    onSubmit: (request) => update.mutate(request, { onSuccess: onDone }),
  });
  return (
    <form onSubmit={form.submit} noValidate>
      <ProfileFields form={form} />
      {update.error !== null && <ProblemNotice error={update.error} />}
      <Group gap="sm" mt="md">
        <Button type="submit" loading={update.isPending}>
          Save
        </Button>
        <Button variant="default" onClick={onDone}>
          Leave as it was
        </Button>
      </Group>
    </form>
  );
}

import { Button, Checkbox, NumberInput, Select, Stack, TextInput } from '@mantine/core';
import {
  type ApplicationForm,
  CLIMATES,
  CONSENT_TEXT,
  CONSENT_VERSION,
  createApplicationRequest,
} from '@syncline/contract';
import { useApply } from '../../api/applications.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { useForm } from '../../parts/use-form.js';
import { CLIMATE_WORDS } from '../recruitment/profile-words.js';
import classes from './apply.module.css';

interface ApplyFormProps {
  readonly form: Extract<ApplicationForm, { isOpen: true }>;
  readonly onSent: () => void;
}

const EMPTY = {
  name: '',
  email: '',
  car: '',
  engine: '',
  gearboxLabel: '',
  platformId: null as string | null,
  dialect: null as string | null,
  place: '',
  climates: [] as readonly string[],
  yearlyKm: null as number | null,
  logger: '',
  hasConsented: false,
  consentVersion: CONSENT_VERSION,
};

/** What the club asks of an applicant: few things, and only what decides whether the car helps. */
export function ApplyForm({ form: { platforms }, onSent }: ApplyFormProps) {
  const apply = useApply();
  const form = useForm({
    initial: EMPTY,
    schema: createApplicationRequest,
    error: apply.error,
    onSubmit: (request) => apply.mutate(request, { onSuccess: onSent }),
  });
  const { values, set, field, choice } = form;
  const dialects = platforms.find(({ id }) => id === values.platformId)?.dialects ?? [];
  const consentFault = choice('hasConsented').error;
  return (
    <form onSubmit={form.submit} noValidate>
      <Stack gap="sm">
        <TextInput label="Your name" autoComplete="name" {...field('name')} />
        <TextInput label="E-mail address" type="email" autoComplete="email" {...field('email')} />
        <TextInput label="Car" description="Make, model and year" {...field('car')} />
        <TextInput label="Engine" description="If you know it" {...field('engine')} />
        <Select
          label="Gearbox"
          placeholder="I do not know"
          clearable
          data={platforms.map(({ id, title }) => ({ value: id, label: title }))}
          {...choice('platformId')}
          onChange={(value) => {
            set('platformId', value);
            set('dialect', null);
          }}
        />
        <TextInput
          label="What the label on the gearbox says"
          description="If you can read it"
          {...field('gearboxLabel')}
        />
        {dialects.length > 0 && (
          <Select
            label="Bus dialect"
            placeholder="I do not know"
            clearable
            data={dialects.map(({ id, title }) => ({ value: id, label: title }))}
            {...choice('dialect')}
          />
        )}
        <TextInput label="Country or region" {...field('place')} />
        <Checkbox.Group
          label="Where you drive"
          value={[...values.climates]}
          onChange={(climates) => set('climates', climates)}
        >
          <Stack gap={6} mt={4}>
            {CLIMATES.map((climate) => (
              <Checkbox key={climate} value={climate} label={CLIMATE_WORDS[climate]} />
            ))}
          </Stack>
        </Checkbox.Group>
        <NumberInput
          label="Distance in a year"
          suffix=" km"
          min={0}
          max={500_000}
          allowDecimal={false}
          thousandSeparator=" "
          {...choice('yearlyKm')}
          value={values.yearlyKm ?? ''}
          onChange={(value) => set('yearlyKm', value === '' ? null : Number(value))}
        />
        <TextInput label="Logger" description="What would record the drives, if you have one" {...field('logger')} />
        <div className={classes.consent}>
          <ul>
            {CONSENT_TEXT.map((sentence) => (
              <li key={sentence}>{sentence}</li>
            ))}
          </ul>
          <Checkbox
            label="I agree to all of this"
            checked={values.hasConsented}
            error={consentFault}
            onChange={(event) => set('hasConsented', event.currentTarget.checked)}
          />
        </div>
        {apply.error !== null && <ProblemNotice error={apply.error} />}
        <Button type="submit" loading={apply.isPending}>
          Apply
        </Button>
      </Stack>
    </form>
  );
}

import { NumberInput, Textarea, TextInput } from '@mantine/core';
import type { ReactNode } from 'react';
import classes from './vehicle.module.css';

/** Number fields of a car's profile: unit, what it is, where to find it, and what it is used for. */
const NUMBER_FIELDS = [
  {
    name: 'massKg',
    label: 'Mass with driver and usual load',
    unit: 'kg',
    step: 10,
    description: 'As weighed, or from the registration papers plus load. Used to compare how hard cars accelerate.',
  },
  {
    name: 'ratedInputTorqueNm',
    label: 'Rated torque into the gearbox',
    unit: 'N·m',
    step: 10,
    description: 'Highest engine torque by its data sheet. A load in per cent is a share of it.',
  },
  {
    name: 'inputInertiaKgM2',
    label: 'Inertia of the input side',
    unit: 'kg·m²',
    step: 0.001,
    description: 'Turbine and input shaft, commonly 0.03 to 0.15. If you do not know it, keep the gearbox’s own value.',
  },
  {
    name: 'tyreRadiusM',
    label: 'Rolling radius of the driven tyres',
    unit: 'm',
    step: 0.001,
    description: 'Distance rolled in one turn ÷ 6.283. Turns shaft speed into acceleration of the car.',
  },
  {
    name: 'finalDriveRatio',
    label: 'Final drive ratio',
    unit: 'to 1',
    step: 0.01,
    description: 'Output-shaft turns for one turn of a wheel, from the axle’s plate.',
  },
] as const;

/** The explanation stands below its field, so that the fields of a row line up. */
const ORDER: ('label' | 'input' | 'description' | 'error')[] = ['label', 'input', 'error', 'description'];

interface FieldSource {
  field: (name: 'title' | 'engine' | 'note') => { value: string; error?: ReactNode; onChange: (event: never) => void };
  choice: (name: (typeof NUMBER_FIELDS)[number]['name']) => {
    value: string | number | null | undefined;
    error?: ReactNode;
    onChange: (value: string | number) => void;
  };
}

/** The profile of a car, for entering and for altering. */
export function ProfileFields({ form }: { readonly form: FieldSource }) {
  return (
    <div className={classes.fields}>
      <TextInput
        label="Name of the car"
        inputWrapperOrder={ORDER}
        description="What you call it in the club, for example “white van”. No number plate."
        {...form.field('title')}
      />
      <TextInput
        inputWrapperOrder={ORDER}
        label="Engine"
        description="Size and fuel, for example “2.2 diesel”"
        {...form.field('engine')}
      />
      {NUMBER_FIELDS.map(({ name, label, unit, step, description }) => {
        const { value, error, onChange } = form.choice(name);
        return (
          <NumberInput
            key={name}
            name={name}
            label={`${label} (${unit})`}
            inputWrapperOrder={ORDER}
            description={description}
            step={step}
            min={0}
            value={value ?? ''}
            error={error}
            onChange={onChange}
          />
        );
      })}
      <Textarea
        className={classes.wide ?? ''}
        label="Note"
        description="What a maintainer should know: wear, changed parts, towing"
        autosize
        minRows={2}
        {...form.field('note')}
      />
    </div>
  );
}

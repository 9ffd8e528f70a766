import { Button, NumberInput, Select } from '@mantine/core';
import type { ReleaseStage } from '@syncline/contract';
import classes from './releases.module.css';

/** A stage as it is entered: shares in per cent. */
export interface StageEntry {
  readonly id: number;
  readonly kind: 'share' | 'cars';
  readonly size: number | string;
  readonly minShifts: number | string;
  readonly minVehicles: number | string;
}

/**
 * A careful ladder for a club of some forty cars. At a quarter of the fleet a doubling of flares in one load band was
 * seen in simulation with about eight thousand shifts; smaller clubs go on with less, and see less.
 */
export const USUAL_STAGES: readonly StageEntry[] = [
  { id: 1, kind: 'share', size: 10, minShifts: 1000, minVehicles: 2 },
  { id: 2, kind: 'share', size: 25, minShifts: 8000, minVehicles: 5 },
  { id: 3, kind: 'share', size: 50, minShifts: 10_000, minVehicles: 8 },
  { id: 4, kind: 'share', size: 100, minShifts: 12_000, minVehicles: 12 },
];

export function toStage({ kind, size, minShifts, minVehicles }: StageEntry): ReleaseStage {
  const amount = Number(size);
  return {
    size: kind === 'share' ? { kind, share: amount / 100 } : { kind, cars: amount },
    minShifts: Number(minShifts),
    minVehicles: Number(minVehicles),
  };
}

interface StageFieldsProps {
  readonly stages: readonly StageEntry[];
  readonly onChange: (stages: readonly StageEntry[]) => void;
}

/** The ladder of a new release, stage by stage. */
export function StageFields({ stages, onChange }: StageFieldsProps) {
  const change = (id: number, values: Partial<StageEntry>) =>
    onChange(stages.map((stage) => (stage.id === id ? { ...stage, ...values } : stage)));
  const add = () => {
    const id = Math.max(0, ...stages.map((stage) => stage.id)) + 1;
    onChange([...stages, { id, kind: 'share', size: 100, minShifts: 1000, minVehicles: 3 }]);
  };
  return (
    <>
      {stages.map((stage, index) => (
        <fieldset key={stage.id} className={classes.stage}>
          <legend>Stage {index + 1}</legend>
          <div className={classes.stageRow}>
            <NumberInput
              label="Takes"
              w={100}
              min={1}
              value={stage.size}
              onChange={(size) => change(stage.id, { size })}
            />
            <Select
              label="Unit"
              w={160}
              allowDeselect={false}
              data={[
                { value: 'share', label: '% of the cohort' },
                { value: 'cars', label: 'cars' },
              ]}
              value={stage.kind}
              onChange={(kind) => change(stage.id, { kind: kind === 'cars' ? 'cars' : 'share' })}
            />
            <NumberInput
              label="Then needs (shifts)"
              w={150}
              min={0}
              step={100}
              value={stage.minShifts}
              onChange={(minShifts) => change(stage.id, { minShifts })}
            />
            <NumberInput
              label="of at least (cars)"
              w={130}
              min={0}
              value={stage.minVehicles}
              onChange={(minVehicles) => change(stage.id, { minVehicles })}
            />
            {stages.length > 1 && (
              <Button
                variant="default"
                aria-label={`Remove stage ${index + 1}`}
                onClick={() => onChange(stages.filter(({ id }) => id !== stage.id))}
              >
                Remove
              </Button>
            )}
          </div>
        </fieldset>
      ))}
      <Button variant="default" size="compact-sm" onClick={add}>
        Add a stage
      </Button>
    </>
  );
}

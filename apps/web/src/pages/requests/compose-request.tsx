import { Button, Group, NumberInput, TextInput, Title } from '@mantine/core';
import {
  type CoverageGap,
  createDriveRequest,
  type GapCar,
  type GapsResponse,
  MAX_REQUEST_DAYS,
} from '@syncline/contract';
import { useQuery } from '@tanstack/react-query';
import { useId, useState } from 'react';
import { type GapFilter, requestQueries, useSendRequest } from '../../api/requests.js';
import { counted } from '../../format/quantity.js';
import { sentence } from '../../format/words.js';
import { ProblemNotice } from '../../parts/problem-notice.js';
import { QueryView } from '../../parts/query-view.js';
import { pointWords } from '../report/wish-words.js';
import { CarChoice } from './car-choice.js';
import { askWords, reasonWords } from './request-words.js';
import classes from './requests.module.css';

/** Six weeks: long enough for a few outings. */
const USUAL_DAYS = 42;

interface ComposeRequestProps {
  readonly filter: GapFilter;
  readonly gap: CoverageGap;
  readonly gaps: GapsResponse;
  readonly onDone: () => void;
}

/** One request on its way: how many shifts of how many cars, in which words, and whom to ask. */
export function ComposeRequest({ filter, gap, gaps, onDone }: ComposeRequestProps) {
  const titleId = useId();
  const point = { kind: gap.kind, loadBand: gap.load.index, fluidTemperatureBand: gap.fluidTemperature.index };
  const cars = useQuery(requestQueries.cars(filter, point));
  return (
    <article className={classes.card} aria-labelledby={titleId}>
      <Title order={3} id={titleId}>
        Ask for {pointWords(gap)}
      </Title>
      <ul className={classes.reasons}>
        {reasonWords(gap, gaps).map((reason) => (
          <li key={reason}>{reason}</li>
        ))}
      </ul>
      <QueryView
        query={cars}
        isEmpty={({ items }) => items.length === 0}
        empty="No car of this gearbox is entered yet."
      >
        {({ items }) => <RequestForm filter={filter} gap={gap} cars={items} onDone={onDone} />}
      </QueryView>
    </article>
  );
}

interface RequestFormProps {
  readonly filter: GapFilter;
  readonly gap: CoverageGap;
  readonly cars: readonly GapCar[];
  readonly onDone: () => void;
}

function RequestForm({ filter, gap, cars, onDone }: RequestFormProps) {
  const send = useSendRequest();
  const suited = cars.filter(({ isSuitable }) => isSuitable);
  const suggested = suited.slice(0, gap.wantedVehicles);
  const [chosen, setChosen] = useState<ReadonlySet<string>>(new Set(suggested.map(({ vehicleId }) => vehicleId)));
  const wantedThen = Math.max(1, Math.min(gap.wantedVehicles, suggested.length));
  const [values, setValues] = useState({
    wantedVehicles: wantedThen,
    wantedShifts: Math.ceil(gap.wantedShifts / gap.wantedVehicles) * wantedThen,
    days: USUAL_DAYS,
    words: pointWords(gap),
  });
  const set = (change: Partial<typeof values>) => setValues((now) => ({ ...now, ...change }));
  const parsed = createDriveRequest.safeParse({
    ...values,
    platformId: filter.platform,
    revisionId: filter.revision ?? null,
    program: filter.program ?? null,
    kind: gap.kind,
    loadBand: gap.load.index,
    fluidTemperatureBand: gap.fluidTemperature.index,
    vehicleIds: [...chosen],
  });
  const fault = (name: string) => parsed.error?.issues.find(({ path }) => path[0] === name)?.message;
  const shiftsPerCar = Math.ceil(values.wantedShifts / Math.max(1, values.wantedVehicles));
  const number = (name: 'wantedVehicles' | 'wantedShifts' | 'days') => ({
    value: values[name],
    // While no car is chosen that alone is told.
    error: chosen.size > 0 ? fault(name) : undefined,
    min: 1,
    allowDecimal: false,
    w: 190,
    onChange: (value: string | number) => set({ [name]: Number(value) }),
  });
  return (
    <form
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        if (parsed.success) send.mutate(parsed.data, { onSuccess: onDone });
      }}
    >
      <Group align="flex-start" gap="sm">
        <NumberInput label="Cars wanted" max={50} {...number('wantedVehicles')} />
        <NumberInput label="Shifts wanted, all cars" max={200} {...number('wantedShifts')} />
        <NumberInput label="Open for (days)" max={MAX_REQUEST_DAYS} {...number('days')} />
      </Group>
      <TextInput
        mt="xs"
        label="What to drive, in words"
        description="How often stands behind it by itself"
        maxLength={200}
        value={values.words}
        error={fault('words')}
        onChange={(event) => set({ words: event.currentTarget.value })}
      />
      <p className={classes.preview}>Each car is asked: “{askWords({ words: values.words, shiftsPerCar })}.”</p>
      <CarChoice cars={cars} chosen={chosen} onChange={setChosen} />
      {send.error !== null && <ProblemNotice error={send.error} />}
      <Group mt="sm" gap="sm">
        <Button type="submit" loading={send.isPending} disabled={!parsed.success}>
          Send to {counted(chosen.size, 'car')}
        </Button>
        <Button variant="default" onClick={onDone}>
          Leave it
        </Button>
        {fault('vehicleIds') !== undefined && <span>{sentence(fault('vehicleIds') ?? '')}.</span>}
      </Group>
    </form>
  );
}

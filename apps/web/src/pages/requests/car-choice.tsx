import { Button, Checkbox } from '@mantine/core';
import type { GapCar } from '@syncline/contract';
import { useMemo, useState } from 'react';
import { formatCount } from '../../format/quantity.js';
import { formatShare } from '../../format/rate.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { Instant } from '../../parts/instant.js';
import { TextLink } from '../../parts/text-link.js';
import { carWords, listOf } from './request-words.js';
import classes from './requests.module.css';

interface CarChoiceProps {
  readonly cars: readonly GapCar[];
  readonly chosen: ReadonlySet<string>;
  readonly onChange: (chosen: ReadonlySet<string>) => void;
}

/** The cars that could be asked, those worth asking first; the others on request, each with what speaks against it. */
export function CarChoice({ cars, chosen, onChange }: CarChoiceProps) {
  const [isAll, setAll] = useState(false);
  const suited = cars.filter(({ isSuitable }) => isSuitable);
  const columns = useMemo(() => carColumns(chosen, onChange), [chosen, onChange]);
  const others = cars.length - suited.length;
  return (
    <div className={classes.cars}>
      {suited.length === 0 && <p>No car is likely to bring this: see what speaks against each.</p>}
      <DataTable
        label="Cars to ask"
        columns={columns}
        rows={isAll || suited.length === 0 ? cars : suited}
        rowId={(car) => car.vehicleId}
      />
      {others > 0 && suited.length > 0 && (
        <Button variant="subtle" size="compact-sm" onClick={() => setAll(!isAll)}>
          {isAll
            ? 'Show only the suitable ones'
            : `Show ${formatCount(others)} more that ${others === 1 ? 'is' : 'are'} less likely`}
        </Button>
      )}
    </div>
  );
}

function carColumns(
  chosen: ReadonlySet<string>,
  onChange: (chosen: ReadonlySet<string>) => void,
): DataColumn<GapCar>[] {
  const toggle = (vehicleId: string) => {
    const next = new Set(chosen);
    if (!next.delete(vehicleId)) next.add(vehicleId);
    onChange(next);
  };
  return [
    {
      id: 'ask',
      title: 'Ask',
      render: (car) => (
        <Checkbox
          aria-label={`Ask ${car.title}`}
          checked={chosen.has(car.vehicleId)}
          onChange={() => toggle(car.vehicleId)}
        />
      ),
    },
    {
      id: 'car',
      title: 'Car',
      render: (car) => (
        <>
          <TextLink to="/vehicles/$vehicleId" params={{ vehicleId: car.vehicleId }}>
            {car.title}
          </TextLink>
          <span className={classes.small}>{car.ownerName}</span>
        </>
      ),
    },
    { id: 'dialect', title: 'Dialect', render: (car) => car.dialect ?? 'not observed', distinct: (car) => car.dialect },
    {
      id: 'revision',
      title: 'Runs',
      isShort: true,
      render: (car) => car.revisionLabel ?? 'not known',
      distinct: (car) => car.revisionLabel,
    },
    { id: 'driven', title: 'Last driven', render: (car) => <Instant at={car.lastDrivenAt} precision="day" /> },
    {
      id: 'width',
      title: 'Interval would be',
      isNumber: true,
      render: (car) => `${formatShare(car.widthAfter)} wide`,
    },
    { id: 'why', title: 'For and against', render: (car) => <Why car={car} /> },
  ];
}

function Why({ car }: { readonly car: GapCar }) {
  const { pro, contra } = carWords(car);
  return (
    <>
      {pro.length > 0 && <span>For: {listOf(pro)}. </span>}
      {contra.length > 0 && <span className={classes.small}>Against: {listOf(contra)}.</span>}
      {pro.length + contra.length === 0 && '–'}
    </>
  );
}

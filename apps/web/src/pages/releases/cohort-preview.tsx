import type { CohortResponse } from '@syncline/contract';
import { counted } from '../../format/quantity.js';
import { type DataColumn, DataTable } from '../../parts/data-table.js';
import { TextLink } from '../../parts/text-link.js';

type CohortCar = CohortResponse['cars'][number];

/** Who is in a cohort, and why others are not. */
export function CohortPreview({ cars }: { readonly cars: readonly CohortCar[] }) {
  const count = cars.filter(({ isIn }) => isIn).length;
  return (
    <>
      <p role="status">
        {counted(count, 'car')} of {cars.length} on this gearbox would be in it.
      </p>
      <details>
        <summary>Car by car</summary>
        <DataTable label="Cars of the cohort" columns={COLUMNS} rows={cars} rowId={({ vehicleId }) => vehicleId} />
      </details>
    </>
  );
}

const COLUMNS: readonly DataColumn<CohortCar>[] = [
  {
    id: 'car',
    title: 'Car',
    render: ({ vehicleId, title }) => (
      <TextLink to="/vehicles/$vehicleId" params={{ vehicleId }}>
        {title}
      </TextLink>
    ),
  },
  { id: 'owner', title: 'Owner', render: ({ ownerName }) => ownerName },
  {
    id: 'isIn',
    title: 'In the cohort',
    render: ({ isIn, reasons }) =>
      isIn ? 'yes' : reasons.map(({ message }) => message).join(' ') || 'no, something else was asked for',
  },
];

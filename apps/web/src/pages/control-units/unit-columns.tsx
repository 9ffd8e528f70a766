import { Anchor } from '@mantine/core';
import type { ControlUnit } from '@syncline/contract';
import type { DataColumn } from '../../parts/data-table.js';
import { Instant } from '../../parts/instant.js';
import { TextLink } from '../../parts/text-link.js';

export function unitColumns(onOpen: (unitId: string) => void): readonly DataColumn<ControlUnit>[] {
  return [
    {
      id: 'serial',
      title: 'Serial',
      render: ({ id, serial }) => (
        <Anchor component="button" type="button" size="sm" onClick={() => onOpen(id)}>
          {serial}
        </Anchor>
      ),
    },
    { id: 'hardware', title: 'Hardware', render: ({ hardware }) => hardware },
    { id: 'firmware', title: 'Firmware', render: ({ firmware }) => firmware || 'not known' },
    {
      id: 'layout',
      title: 'Takes layout',
      render: ({ layoutVersion }) => (layoutVersion === null ? 'not known' : `version ${layoutVersion}`),
    },
    { id: 'holder', title: 'Held by', render: ({ holderName }) => holderName ?? 'nobody' },
    {
      id: 'vehicle',
      title: 'In car, since',
      render: ({ vehicleId, vehicleTitle, fittedAt }) =>
        vehicleId === null ? (
          'none'
        ) : (
          <>
            <TextLink to="/vehicles/$vehicleId" params={{ vehicleId }}>
              {vehicleTitle}
            </TextLink>
            , <Instant at={fittedAt} precision="day" />
          </>
        ),
    },
    {
      id: 'platform',
      title: 'Gearbox',
      render: ({ platformTitle }) => platformTitle,
      distinct: ({ platformTitle }) => platformTitle,
    },
    {
      id: 'retired',
      title: 'In use',
      render: ({ isRetired }) => (isRetired ? 'retired' : 'yes'),
      distinct: ({ isRetired }) => (isRetired ? 'retired' : 'yes'),
    },
  ];
}

export const CSV_COLUMNS = [
  { header: 'serial', cell: ({ serial }: ControlUnit) => serial },
  { header: 'gearbox', cell: ({ platformTitle }: ControlUnit) => platformTitle },
  { header: 'hardware', cell: ({ hardware }: ControlUnit) => hardware },
  { header: 'firmware', cell: ({ firmware }: ControlUnit) => firmware },
  { header: 'takes layout version', cell: ({ layoutVersion }: ControlUnit) => layoutVersion },
  { header: 'held by', cell: ({ holderName }: ControlUnit) => holderName },
  { header: 'in car', cell: ({ vehicleTitle }: ControlUnit) => vehicleTitle },
  { header: 'since', cell: ({ fittedAt }: ControlUnit) => fittedAt },
  { header: 'retired', cell: ({ isRetired }: ControlUnit) => (isRetired ? 'yes' : 'no') },
];

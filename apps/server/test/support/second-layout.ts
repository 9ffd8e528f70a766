import type { Layout, RevisionContent, TableSpec } from '@syncline/calibration';
import { LAYOUT } from './club.js';

const [BASE_PRESSURE, PROGRAM_FACTOR] = LAYOUT.tables;

function scheduleLine(id: string, title: string, repeat: 'upshift' | 'downshift', defaultValue: number): TableSpec {
  return {
    id,
    title,
    quantity: 'speed',
    unit: 'rpm',
    repeat,
    byProgram: true,
    axes: [{ quantity: 'pedal', title: 'Pedal', unit: '%', breakpoints: [0, 100], editable: false }],
    storage: { type: 'u16', resolution: 1, offset: 0 },
    limits: { min: 0, max: 8000 },
    monotone: [],
    slopeLimits: [],
    // Every line begins at the same speed.
    severities: { scheduleCrossing: 'warning' },
    defaultValue,
  };
}

/** The second layout of the test gearbox: the first one with a bound on steps, a shift schedule and a memory image. */
export const SECOND_LAYOUT: Layout = {
  ...LAYOUT,
  version: 2,
  title: 'Apply pressure and schedule',
  tables: [
    { ...BASE_PRESSURE, stepBound: { absolute: 100 } },
    PROGRAM_FACTOR,
    scheduleLine('upshiftLine', 'Upshift line', 'upshift', 1000),
    scheduleLine('downshiftLine', 'Downshift line', 'downshift', 500),
  ],
  schedules: [
    {
      id: 'road',
      title: 'Road schedule',
      upTable: 'upshiftLine',
      downTable: 'downshiftLine',
      minHysteresisRpm: 50,
      minInputSpeedRpm: 0,
      maxInputSpeedRpm: 8000,
    },
  ],
  image: {
    startAddress: 0x8000,
    byteCount: 256,
    fill: 0xff,
    byteOrder: 'big',
    tables: [
      { tableId: 'basePressure', address: 0x8000 },
      { tableId: 'programFactor', address: 0x8040 },
      { tableId: 'upshiftLine', address: 0x8050 },
      { tableId: 'downshiftLine', address: 0x8060 },
    ],
    axes: [{ tableId: 'basePressure', axis: 0, address: 0x8030, storage: { type: 'u8', resolution: 1, offset: 0 } }],
    checksums: [{ kind: 'crc32', from: 0x8000, to: 0x80fc, address: 0x80fc }],
  },
};

type Edit = (value: number, index: number, variant: string) => number;

/** The content with every value of a table changed, or of one variant of it. */
export function edited(content: RevisionContent, tableId: string, edit: Edit, only?: string): RevisionContent {
  const table = content.tables[tableId];
  const values = Object.entries(table.values).map(
    ([variant, cells]) =>
      [variant, variant === (only ?? variant) ? cells.map((value, i) => edit(value, i, variant)) : cells] as const,
  );
  return { ...content, tables: { ...content.tables, [tableId]: { ...table, values: Object.fromEntries(values) } } };
}

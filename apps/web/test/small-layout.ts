import type { LayoutDocument, PlatformDocument } from '@syncline/contract';

type TableSpec = LayoutDocument['tables'][number];

export function aTable(part: Partial<TableSpec> & Pick<TableSpec, 'id'>): TableSpec {
  return {
    title: part.id,
    quantity: 'pressure',
    unit: 'kPa',
    repeat: 'once',
    axes: [],
    storage: { type: 'u16', resolution: 1, offset: 0 },
    limits: { min: 0, max: 1000 },
    monotone: [],
    slopeLimits: [],
    defaultValue: 0,
    ...part,
  };
}

export function anAxis(quantity: TableSpec['axes'][number]['quantity'], breakpoints: number[]) {
  return { quantity, title: quantity, unit: '', breakpoints, editable: true };
}

/** Three gears, one up and two down shifts, two programs, two clutches. */
export const PLATFORM: PlatformDocument = {
  id: 'dunlin-3',
  title: 'Dunlin three-speed',
  gears: [1, 2, 3].map((gear) => ({ gear, ratio: 4 - gear, applied: ['A'] })),
  clutches: [
    { id: 'A', title: 'Clutch A', kind: 'clutch' },
    { id: 'B', title: 'Brake B', kind: 'brake' },
  ],
  shifts: [
    { id: '1-2', from: 1, to: 2 },
    { id: '3-2', from: 3, to: 2 },
    { id: '2-1', from: 2, to: 1 },
  ],
  programs: [
    { id: 'calm', title: 'Calm', code: 1 },
    { id: 'brisk', title: 'Brisk', code: 2 },
  ],
  dialects: [],
  ratedInputTorqueNm: 300,
  inputInertiaKgM2: 0.1,
};

export function aLayout(tables: TableSpec[], rules: Partial<LayoutDocument['rules'][number]>[] = []): LayoutDocument {
  return {
    platformId: PLATFORM.id,
    version: 1,
    title: 'Dunlin',
    tables,
    rules: rules.map((rule, i) => ({
      id: `rule${i}`,
      title: `Rule ${i}`,
      unit: 'kPa',
      kind: 'product',
      tables: [],
      ...rule,
    })),
  };
}

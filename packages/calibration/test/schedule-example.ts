import { defaultContent, type Layout, type Platform, type RevisionContent } from '../src/index.js';
import { aTable, platform as threeSpeed } from './example.js';

/** The three-speed gearbox with all single downshifts; ratios 3, 2, 1. */
export const platform: Platform = {
  ...threeSpeed,
  shifts: [
    { id: '1-2', from: 1, to: 2 },
    { id: '2-3', from: 2, to: 3 },
    { id: '3-2', from: 3, to: 2 },
    { id: '2-1', from: 2, to: 1 },
    { id: '3-1', from: 3, to: 1 },
  ],
};

const line = aTable({
  unit: 'rpm',
  quantity: 'speed',
  axes: [{ quantity: 'pedal', title: 'Pedal', unit: '%', breakpoints: [0, 50, 100], editable: true }],
  storage: { type: 'u16', resolution: 1, offset: 0 },
  limits: { min: 0, max: 8000 },
  defaultValue: 1000,
});

export const layout: Layout = {
  platformId: platform.id,
  version: 3,
  title: 'Sandpiper schedule',
  tables: [
    { ...line, id: 'up', title: 'Upshift lines', repeat: 'upshift' },
    { ...line, id: 'down', title: 'Downshift lines', repeat: 'downshift' },
  ],
  rules: [],
  schedules: [
    {
      id: 'drive',
      title: 'Drive',
      upTable: 'up',
      downTable: 'down',
      minHysteresisRpm: 100,
      minInputSpeedRpm: 800,
      maxInputSpeedRpm: 6000,
    },
  ],
};

/** The same with a set of lines per program. */
export const programLayout: Layout = {
  ...layout,
  tables: layout.tables.map((spec) => ({ ...spec, byProgram: true })),
};

/** Lines without a fault, at pedal 0, 50 and 100 %. */
export const soundLines = {
  up: { '1-2': [500, 1000, 1800], '2-3': [1000, 1800, 3000] },
  down: { '3-2': [700, 1200, 2200], '2-1': [300, 600, 1200], '3-1': [0, 500, 1100] },
};

export type Lines = Record<'up' | 'down', Record<string, readonly number[]>>;

/** Content of `layout` with the sound lines but for those given, by table and shift. */
export function linesWith(
  parts: Partial<Lines> = {},
  axes: Partial<Record<'up' | 'down', number[]>> = {},
): RevisionContent {
  const content = defaultContent(layout, platform);
  const table = (id: 'up' | 'down') => ({
    axes: [axes[id] ?? [0, 50, 100]],
    values: { ...soundLines[id], ...parts[id] },
  });
  return { ...content, tables: { up: table('up'), down: table('down') } };
}

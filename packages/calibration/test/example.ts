import fc from 'fast-check';
import {
  type AxisSpec,
  defaultContent,
  type Layout,
  type Platform,
  type RevisionContent,
  type TableSpec,
  variantsOf,
} from '../src/index.js';

/** A three-speed gearbox, small enough to follow by hand. */
export const platform: Platform = {
  id: 'sandpiper',
  title: 'Sandpiper three-speed',
  gears: [
    { gear: 1, ratio: 3, applied: ['A', 'C'] },
    { gear: 2, ratio: 2, applied: ['A', 'B'] },
    { gear: 3, ratio: 1, applied: ['B', 'C'] },
  ],
  clutches: [
    { id: 'A', title: 'Clutch A', kind: 'clutch' },
    { id: 'B', title: 'Brake B', kind: 'brake' },
    { id: 'C', title: 'Clutch C', kind: 'clutch' },
  ],
  shifts: [
    { id: '1-2', from: 1, to: 2 },
    { id: '2-3', from: 2, to: 3 },
    { id: '3-2', from: 3, to: 2 },
    { id: '3-1', from: 3, to: 1 },
  ],
  programs: [
    { id: 'calm', title: 'Calm', code: 0 },
    { id: 'brisk', title: 'Brisk', code: 1 },
  ],
  dialects: [],
  ratedInputTorqueNm: 300,
  inputInertiaKgM2: 0.1,
};

const load: AxisSpec = { quantity: 'load', title: 'Load', unit: '%', breakpoints: [0, 40, 100], editable: false };
const inputSpeed: AxisSpec = {
  quantity: 'inputSpeed',
  title: 'Input speed',
  unit: 'rpm',
  breakpoints: [1000, 2000, 4000, 6000],
  editable: true,
};
const fluidTemperature: AxisSpec = {
  quantity: 'fluidTemperature',
  title: 'Fluid temperature',
  unit: '°C',
  breakpoints: [-20, 20, 90],
  editable: true,
};

/** A table of one value without demands; override what the test is about. */
export function aTable(parts: Partial<TableSpec> = {}): TableSpec {
  return {
    id: 'offset',
    title: 'Offset',
    quantity: 'pressure',
    unit: 'kPa',
    repeat: 'once',
    axes: [],
    storage: { type: 's16', resolution: 0.5, offset: 0 },
    limits: { min: -200, max: 200 },
    monotone: [],
    slopeLimits: [],
    defaultValue: 0,
    ...parts,
  };
}

const factor = {
  unit: '',
  storage: { type: 'u16', resolution: 0.001, offset: 0 },
  limits: { min: 0.5, max: 2 },
} as const;

/** Every repetition but `shift`, tables of no, one and two axes, a product and a sum. */
export const layout: Layout = {
  platformId: platform.id,
  version: 3,
  title: 'Sandpiper 3',
  tables: [
    aTable({
      id: 'base',
      title: 'Base pressure',
      repeat: 'upshift',
      axes: [load, inputSpeed],
      storage: { type: 'u16', resolution: 0.5, offset: 0 },
      limits: { min: 50, max: 1200 },
      defaultValue: 300,
    }),
    aTable({ ...factor, id: 'byProgram', title: 'Program factor', repeat: 'program', defaultValue: 1 }),
    aTable({ ...factor, id: 'byFluid', title: 'Fluid factor', axes: [fluidTemperature], defaultValue: 1 }),
    aTable({
      id: 'hold',
      title: 'Holding pressure',
      repeat: 'gear',
      axes: [load],
      limits: { min: 0, max: 2000 },
      defaultValue: 600,
    }),
    aTable(),
    aTable({
      id: 'fillTime',
      title: 'Fill time',
      quantity: 'time',
      unit: 'ms',
      repeat: 'clutch',
      axes: [fluidTemperature],
      storage: { type: 'u8', resolution: 1, offset: 0 },
      limits: { min: 20, max: 250 },
      defaultValue: 80,
    }),
  ],
  rules: [
    {
      id: 'shiftPressure',
      title: 'Shift pressure',
      unit: 'kPa',
      kind: 'product',
      tables: ['base', 'byProgram', 'byFluid'],
    },
    { id: 'holdPressure', title: 'Holding pressure', unit: 'kPa', kind: 'sum', tables: ['hold', 'offset'] },
  ],
};

/** A layout of one table, for checks of that table. */
export function layoutOf(spec: TableSpec): Layout {
  return { ...layout, tables: [spec], rules: [] };
}

/** Content of a layout of one table that exists once, with these values (and break points). */
export function contentOf(spec: TableSpec, values: readonly number[], axes?: readonly number[][]): RevisionContent {
  const content = defaultContent(layoutOf(spec), platform);
  return { ...content, tables: { [spec.id]: { axes: axes ?? content.tables[spec.id].axes, values: { all: values } } } };
}

/** Content of `layout` with the values of some variants replaced: `{ base: { '1-2': [...] } }`. */
export function contentWith(values: Record<string, Record<string, readonly number[]>>): RevisionContent {
  const content = defaultContent(layout, platform);
  const tables = { ...content.tables };
  for (const [id, variants] of Object.entries(values)) {
    tables[id] = { ...tables[id], values: { ...tables[id].values, ...variants } };
  }
  return { ...content, tables };
}

/** Strictly increasing break points. */
export function anAxis(length: { min: number; max: number }): fc.Arbitrary<number[]> {
  return fc
    .uniqueArray(fc.integer({ min: -400, max: 8000 }), { minLength: length.min, maxLength: length.max })
    .map((points) => points.map((point) => point / 4).sort((a, b) => a - b));
}

/** Any content of `layout` within its limits, with break points moved where that is allowed. */
export const anyContent: fc.Arbitrary<RevisionContent> = fc
  .record(Object.fromEntries(layout.tables.map((spec) => [spec.id, anyTable(spec)])))
  .map((tables) => ({ ...defaultContent(layout, platform), tables }));

function anyTable(spec: TableSpec) {
  const axes = fc.tuple(
    ...spec.axes.map((axis) => {
      const { length } = axis.breakpoints;
      const moved = anAxis({ min: length, max: length });
      return axis.editable ? fc.oneof(fc.constant([...axis.breakpoints]), moved) : fc.constant([...axis.breakpoints]);
    }),
  );
  const count = spec.axes.reduce((cells, axis) => cells * axis.breakpoints.length, 1);
  const value = fc.double({ ...spec.limits, noNaN: true }).map((x) => x + 0);
  const values = fc.array(value, { minLength: count, maxLength: count });
  return fc.record({
    axes,
    values: fc.record(Object.fromEntries(variantsOf(spec, platform).map((variant) => [variant, values]))),
  });
}

import { type ImageMap, type Layout, type RevisionContent, type TableSpec, variantsOf } from '@syncline/calibration';
import { storeValue } from '../matched-content.js';
import { TERN_LAYOUT, TERN_PLATFORM } from './platform.js';

/** Where the calibration lies in the invented control unit. */
const START_ADDRESS = 0x0008_0000;
const IMAGE_BYTES = 0x1000;
const CHECKSUM_BYTES = 4;
const BYTES = { u8: 1, s8: 1, u16: 2, s16: 2, u32: 4, s32: 4, f32: 4 } as const;

/** How break points are kept; −40 to 150 °C needs a sign. */
const AXIS_STORAGE = { type: 's16', resolution: 1, offset: 0 } as const;

/**
 * Layout version 2 of the Tern: a schedule of its own for each program in place of one factor for all lines, bounds on
 * how far a step may go, the supply of the coil, and a map of the control unit's memory.
 */
export const TERN_SECOND_LAYOUT: Layout = makeSecondLayout();

/** The shift lines of the first layout with the factor of each program worked in, as values of the second. */
export function ternProgramLines(first: RevisionContent): Pick<RevisionContent, 'tables'> {
  const lines = ['upshiftLine', 'downshiftLine'].map((id) => {
    const spec = getTable(TERN_SECOND_LAYOUT, id);
    const { axes, values } = first.tables[id];
    const byProgram = variantsOf(spec, TERN_PLATFORM).map((variant) => {
      const [shift, program] = variant.split('/');
      const [factor] = first.tables.scheduleFactor.values[program];
      return [variant, values[shift].map((rpm) => storeValue(spec, rpm * factor))] as const;
    });
    return [id, { axes, values: Object.fromEntries(byProgram) }] as const;
  });
  return { tables: Object.fromEntries(lines) };
}

function makeSecondLayout(): Layout {
  const tables = TERN_LAYOUT.tables.filter(({ id }) => id !== 'scheduleFactor').map(changed);
  return {
    ...TERN_LAYOUT,
    version: 2,
    title: `${TERN_LAYOUT.title}, schedule by program`,
    tables,
    rules: TERN_LAYOUT.rules.map((rule) => ({
      ...rule,
      tables: rule.tables.filter((id) => id !== 'scheduleFactor'),
    })),
    schedules: [
      {
        id: 'road',
        title: 'Road schedule',
        upTable: 'upshiftLine',
        downTable: 'downshiftLine',
        minHysteresisRpm: 40,
        minInputSpeedRpm: 850,
        maxInputSpeedRpm: 4500,
      },
    ],
    image: placeInMemory(tables),
  };
}

function changed(spec: TableSpec): TableSpec {
  switch (spec.id) {
    case 'basePressure':
      return { ...spec, stepBound: { absolute: 120, percent: 25 } };
    case 'fillTime':
      return { ...spec, stepBound: { absolute: 60 } };
    case 'upshiftLine':
    case 'downshiftLine':
      return { ...spec, byProgram: true };
    case 'solenoidCurrent':
      return {
        ...spec,
        coil: { resistanceOhm: 5.3, seriesResistanceOhm: 0.4, lowestVoltageV: 10, highestTemperatureC: 130 },
      };
    default:
      return spec;
  }
}

/** One table after the other, each followed by the break points that may move; the checksum comes last. */
function placeInMemory(tables: readonly TableSpec[]): ImageMap {
  let next = START_ADDRESS;
  const place = (count: number, bytes: number) => {
    const address = Math.ceil(next / bytes) * bytes;
    next = address + count * bytes;
    return address;
  };
  const placed = tables.map((spec) => {
    const cells = spec.axes.reduce((count, axis) => count * axis.breakpoints.length, 1);
    const address = place(cells * variantsOf(spec, TERN_PLATFORM).length, BYTES[spec.storage.type]);
    const axes = spec.axes.flatMap((axis, i) =>
      axis.editable
        ? [
            {
              tableId: spec.id,
              axis: i,
              address: place(axis.breakpoints.length, BYTES[AXIS_STORAGE.type]),
              storage: AXIS_STORAGE,
            },
          ]
        : [],
    );
    return { tableId: spec.id, address, axes };
  });
  const end = START_ADDRESS + IMAGE_BYTES - CHECKSUM_BYTES;
  if (next > end) throw new Error(`The tables take ${next - START_ADDRESS} of ${IMAGE_BYTES} bytes.`);
  return {
    startAddress: START_ADDRESS,
    byteCount: IMAGE_BYTES,
    fill: 0xff,
    byteOrder: 'big',
    tables: placed.map(({ tableId, address }) => ({ tableId, address })),
    axes: placed.flatMap(({ axes }) => axes),
    checksums: [{ kind: 'crc32', from: START_ADDRESS, to: end, address: end }],
  };
}

function getTable(layout: Layout, tableId: string): TableSpec {
  const spec = layout.tables.find(({ id }) => id === tableId);
  if (spec === undefined) throw new Error(`The layout has no table '${tableId}'.`);
  return spec;
}

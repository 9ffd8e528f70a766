import { describe, expect, it } from 'vitest';
import {
  type AxisSpec,
  checkLayout,
  type Layout,
  type Rule,
  type ShiftSchedule,
  type TableSpec,
} from '../src/index.js';
import { aTable, layout, layoutOf, platform } from './example.js';
import { programLayout, layout as scheduled } from './schedule-example.js';

const load: AxisSpec = { quantity: 'load', title: 'Load', unit: '%', breakpoints: [0, 50, 100], editable: false };
const coil = { resistanceOhm: 5, seriesResistanceOhm: 0.3, lowestVoltageV: 9, highestTemperatureC: 130 };
const loadOver = (breakpoints: number[]): AxisSpec => ({ ...load, breakpoints });

describe('checkLayout', () => {
  it('finds nothing in a sound layout', () => {
    expect(checkLayout(layout, platform)).toEqual([]);
  });

  it.each<[string, Partial<TableSpec>, string, string]>([
    [
      'three axes',
      { axes: [load, { ...load, quantity: 'pedal' }, { ...load, quantity: 'inputSpeed' }] },
      'axisCount',
      'it has 3 axes, at most 2 are possible. Split it into tables of one rule.',
    ],
    [
      'two axes over one quantity',
      { axes: [load, load] },
      'axisRepeats',
      "two axes run over 'load'. Let each axis have a quantity of its own.",
    ],
    [
      'an axis without break points',
      { axes: [loadOver([])] },
      'axisEmpty',
      "axis 'Load' has no break points. Give it at least one.",
    ],
    [
      'equal break points',
      { axes: [loadOver([0, 50, 50])] },
      'axisOrder',
      "axis 'Load', break point 3: found 50, expected a finite number above 50. Make the break points rise from first to last.",
    ],
    [
      'a break point that is no number',
      { axes: [loadOver([Number.NaN, 50])] },
      'axisOrder',
      "axis 'Load', break point 1: found NaN, expected a finite number. Make the break points rise from first to last.",
    ],
    [
      'a resolution of 0',
      { storage: { type: 'u8', resolution: 0, offset: 0 } },
      'resolution',
      'storage has resolution 0 and offset 0; both must be finite and the resolution above 0.',
    ],
    [
      'crossed limits',
      { limits: { min: 3, max: 2 } },
      'limitsOrder',
      'limits run from 3 to 2. State a finite minimum that is not above the maximum.',
    ],
    [
      'limits beyond the storage',
      { storage: { type: 'u8', resolution: 1, offset: -40 }, limits: { min: -40, max: 216 } },
      'limitsNotStorable',
      'limits -40 to 216 kPa exceed what u8 storage can hold (-40 to 215 kPa). Narrow the limits or choose another storage type, resolution or offset.',
    ],
    [
      'a default outside the limits',
      { defaultValue: 201 },
      'defaultOutsideLimits',
      'the default 201 kPa is outside -200 to 200 kPa. Move the default or the limits.',
    ],
    [
      'a course along an axis that is not there',
      { axes: [load], monotone: [{ axis: 1, direction: 'rising', strict: false }] },
      'checkAxis',
      'a course or slope is demanded along axis 1, but there are 1 axes (counted from 0).',
    ],
    [
      'a slope bound below 0',
      { axes: [load], slopeLimits: [{ axis: 0, maxPerUnit: -1 }] },
      'slopeBound',
      'the slope limit along axis 0 is -1. State a bound of 0 or more.',
    ],
    [
      'programs named twice',
      { repeat: 'program', byProgram: true },
      'programTwice',
      "it is repeated per program and asks for one more set per program. Leave out 'byProgram'.",
    ],
    [
      'a single table by program',
      { byProgram: true },
      'programTwice',
      "it exists once and asks for one more set per program. Leave out 'byProgram' and repeat it per program.",
    ],
    [
      'a step bound of 0',
      { stepBound: { absolute: 5, percent: 0 } },
      'stepBound',
      'the percent step bound is 0. State a bound above 0, or none.',
    ],
    [
      'a coil in a table of pressures',
      { coil },
      'coilUnit',
      'a coil is given, but the table is in kPa. Give a coil only to a table of currents in A.',
    ],
    [
      'a coil without resistance',
      { unit: 'A', coil: { ...coil, resistanceOhm: 0 } },
      'coilSupply',
      'the coil has 0, expected a winding resistance above 0 Ω.',
    ],
    [
      'a coil below 0 Ω in series',
      { unit: 'A', coil: { ...coil, seriesResistanceOhm: -1 } },
      'coilSupply',
      'the coil has -1, expected a series resistance of 0 Ω or more.',
    ],
    [
      'a coil without supply',
      { unit: 'A', coil: { ...coil, lowestVoltageV: Number.NaN } },
      'coilSupply',
      'the coil has NaN, expected a supply above 0 V.',
    ],
    [
      'a coil hotter than any winding bears',
      { unit: 'A', coil: { ...coil, highestTemperatureC: 300 } },
      'coilSupply',
      'the coil has 300, expected a winding at −50 to 250 °C.',
    ],
  ])('finds %s', (_, parts, code, message) => {
    const found = checkLayout(layoutOf(aTable(parts)), platform);
    expect(found.map((entry) => [entry.code, entry.severity, entry.tableId, entry.message])).toEqual([
      [code, 'blocking', 'offset', `Table 'offset': ${message}`],
    ]);
  });

  it.each<[string, Record<string, string>, string]>([
    [
      'a check that does not exist',
      { tooHigh: 'warning' },
      "'tooHigh' is no check whose severity can be chosen. Choose from belowMinimum, aboveMaximum, notMonotone, tooSteep, storageLoss, notReachable, stepTooLarge, scheduleCrossing, scheduleHunting, engineTooSlow, engineTooFast.",
    ],
    [
      'what always blocks',
      { notANumber: 'warning' },
      "'notANumber' is no check whose severity can be chosen. Choose from belowMinimum, aboveMaximum, notMonotone, tooSteep, storageLoss, notReachable, stepTooLarge, scheduleCrossing, scheduleHunting, engineTooSlow, engineTooFast.",
    ],
    [
      'an unknown severity',
      { tooSteep: 'mild' },
      "the severity of 'tooSteep' is 'mild'. Write 'blocking' or 'warning'.",
    ],
  ])('finds a severity of %s', (_, severities, message) => {
    const found = checkLayout(layoutOf(aTable({ severities })), platform);
    expect(found.map((entry) => [entry.code, entry.message])).toEqual([
      ['severityUnknown', `Table 'offset': ${message}`],
    ]);
  });

  it('takes a coil, a step bound and severities that say what they should', () => {
    const severities = { notReachable: 'warning', stepTooLarge: 'blocking' } as const;
    const sound = aTable({ unit: 'A', coil, stepBound: { percent: 8 }, severities, repeat: 'clutch', byProgram: true });
    expect(checkLayout(layoutOf(sound), platform)).toEqual([]);
  });

  it('lets limits reach half a step beyond the storage, since they round back into it', () => {
    const storage = { type: 'u8', resolution: 1, offset: 0 } as const;
    expect(checkLayout(layoutOf(aTable({ storage, limits: { min: 0, max: 255.4 } })), platform)).toEqual([]);
  });

  it.each<[string, Partial<Rule>, string, string]>([
    ['no table', { tables: [] }, 'ruleEmpty', 'names no table. Name at least one.'],
    [
      'an unknown table',
      { tables: ['hold', 'vent'] },
      'ruleUnknownTable',
      "names table 'vent', which the layout does not have. Add the table or mend the name.",
    ],
    [
      'a table twice',
      { tables: ['hold', 'hold'] },
      'ruleRepeatsTable',
      "names table 'hold' more than once. Name it once.",
    ],
    [
      'a sum of unlike units',
      { tables: ['hold', 'fillTime'] },
      'ruleUnit',
      "sums in kPa, but table 'fillTime' is in ms. Use one unit.",
    ],
    [
      'a product of two pressures',
      { kind: 'product', tables: ['hold', 'offset', 'byFluid'] },
      'ruleUnit',
      'is to give kPa, but its tables multiply to kPa·kPa. Let one table carry the unit and the others be pure factors.',
    ],
    [
      'a pressure from pure factors',
      { kind: 'product', tables: ['byFluid'] },
      'ruleUnit',
      'is to give kPa, but its tables multiply to no unit. Let one table carry the unit and the others be pure factors.',
    ],
  ])('finds a rule with %s', (_, parts, code, message) => {
    const rule: Rule = { id: 'r', title: 'R', unit: 'kPa', kind: 'sum', tables: [], ...parts };
    const found = checkLayout({ ...layout, rules: [rule] }, platform);
    expect(found.map((entry) => [entry.code, entry.message])).toEqual([[code, `Rule 'r' ${message}`]]);
  });

  it.each(['', '1', '–', '-', '×'])('accepts a product of pure factors whose unit is written %j', (unit) => {
    const rule: Rule = { id: 'r', title: 'R', unit, kind: 'product', tables: ['byFluid', 'byProgram'] };
    expect(checkLayout({ ...layout, rules: [rule] }, platform)).toEqual([]);
  });

  it('finds ids that are used twice and a layout of another platform', () => {
    const twice: Layout = {
      ...layout,
      platformId: 'dunlin',
      tables: [...layout.tables, aTable()],
      rules: [...layout.rules, layout.rules[0]],
    };
    expect(checkLayout(twice, platform).map((entry) => [entry.code, entry.found])).toEqual([
      ['otherPlatform', 'dunlin'],
      ['duplicateId', 'offset'],
      ['duplicateId', 'shiftPressure'],
    ]);
  });
});

describe('checkLayout on shift schedules', () => {
  const { schedules, tables } = scheduled;
  const up = (parts: Partial<TableSpec>): Partial<Layout> => ({ tables: [{ ...tables[0], ...parts }, tables[1]] });
  const drive = (parts: Partial<ShiftSchedule>): Partial<Layout> => ({
    schedules: schedules?.map((schedule) => ({ ...schedule, ...parts })),
  });

  it('finds nothing in sound ones, by program or not', () => {
    expect(checkLayout(scheduled, platform)).toEqual([]);
    expect(checkLayout(programLayout, platform)).toEqual([]);
  });

  it.each<[string, Partial<Layout>, string, string]>([
    [
      'an unknown table',
      drive({ downTable: 'back' }),
      'scheduleTable',
      "it names table 'back', which the layout does not have. Add the table or mend the name.",
    ],
    [
      'a table of another repetition',
      up({ repeat: 'gear' }),
      'scheduleTable',
      "table 'up' is repeated by 'gear', expected 'upshift'. Use a table with one line per upshift.",
    ],
    [
      'a table of another unit',
      up({ unit: 'km/h' }),
      'scheduleTable',
      "table 'up' is in km/h, expected output speed in rpm. Use a table in rpm.",
    ],
    [
      'a table over load',
      up({ axes: [load] }),
      'scheduleAxis',
      "table 'up' runs over load, expected the pedal alone. Give it one axis of pedal.",
    ],
    [
      'a table without axes',
      up({ axes: [] }),
      'scheduleAxis',
      "table 'up' runs over nothing, expected the pedal alone. Give it one axis of pedal.",
    ],
    [
      'programs in one table only',
      up({ byProgram: true }),
      'scheduleTable',
      "only one of 'up' and 'down' differs by program. Let both or none.",
    ],
    [
      'a hysteresis below 0',
      drive({ minHysteresisRpm: -1 }),
      'scheduleBound',
      'the least hysteresis is -1 rpm. State 0 rpm or more.',
    ],
    [
      'crossed input speeds',
      drive({ minInputSpeedRpm: 900, maxInputSpeedRpm: 900 }),
      'scheduleBound',
      'the input speed may lie between 900 and 900 rpm. State a minimum of 0 or more below the maximum.',
    ],
  ])('finds %s', (_, parts, code, message) => {
    const found = checkLayout({ ...scheduled, ...parts }, platform);
    expect(found.map((entry) => [entry.code, entry.severity, entry.message])).toEqual([
      [code, 'blocking', `Schedule 'drive': ${message}`],
    ]);
  });

  it('finds an id that is used twice', () => {
    const twice = { ...scheduled, schedules: [...(schedules ?? []), ...(schedules ?? [])] };
    expect(checkLayout(twice, platform).map((entry) => entry.message)).toEqual([
      "The schedule id 'drive' is used more than once. Give each schedule its own id.",
    ]);
  });
});

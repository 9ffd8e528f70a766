import { describe, expect, it } from 'vitest';
import { type AxisSpec, checkLayout, type Layout, type Rule, type TableSpec } from '../src/index.js';
import { aTable, layout, layoutOf, platform } from './example.js';

const load: AxisSpec = { quantity: 'load', title: 'Load', unit: '%', breakpoints: [0, 50, 100], editable: false };
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
  ])('finds %s', (_, parts, code, message) => {
    const found = checkLayout(layoutOf(aTable(parts)), platform);
    expect(found.map((entry) => [entry.code, entry.severity, entry.tableId, entry.message])).toEqual([
      [code, 'blocking', 'offset', `Table 'offset': ${message}`],
    ]);
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

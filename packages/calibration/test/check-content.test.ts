import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  type AxisSpec,
  checkContent,
  defaultContent,
  type Finding,
  type RevisionContent,
  type TableContent,
  type TableSpec,
} from '../src/index.js';
import { anyContent, aTable, contentOf, contentWith, layout, layoutOf, platform } from './example.js';

const load: AxisSpec = { quantity: 'load', title: 'Load', unit: '%', breakpoints: [0, 40, 100], editable: false };
const speed: AxisSpec = {
  quantity: 'inputSpeed',
  title: 'Input speed',
  unit: 'rpm',
  breakpoints: [1000, 2000],
  editable: true,
};
const line = aTable({ id: 'line', axes: [load], limits: { min: 0, max: 900 } });
const map = aTable({ id: 'map', axes: [load, speed], limits: { min: 0, max: 900 } });

function check(spec: TableSpec, values: readonly number[], axes?: readonly number[][]): Finding[] {
  return checkContent(layoutOf(spec), platform, contentOf(spec, values, axes));
}

describe('checkContent on values', () => {
  it('names table, variant, cell, value, bound and remedy of a value above its limit', () => {
    const [finding, ...others] = checkContent(layout, platform, contentWith({ hold: { '2': [400, 2000.5, 900] } }));
    expect(others).toEqual([]);
    expect(finding).toEqual({
      code: 'aboveMaximum',
      severity: 'blocking',
      tableId: 'hold',
      variant: '2',
      cell: { row: 0, column: 1 },
      found: 2000.5,
      bound: 2000,
      message: "Table 'hold', 2, cell at Load 40 %: found 2000.5, expected at most 2000 kPa. Lower the value.",
    });
  });

  it.each<[string, TableSpec, number[], Partial<Finding>, string]>([
    [
      'a value below the minimum, in a table of two axes',
      map,
      [0, 0, 0, 0, 0, -0.5],
      { code: 'belowMinimum', cell: { row: 2, column: 1 }, found: -0.5, bound: 0 },
      'cell at Load 100 %, Input speed 2000 rpm: found -0.5, expected at least 0 kPa. Raise the value.',
    ],
    [
      'a value that is no number',
      line,
      [1, Number.NaN, 3],
      { code: 'notANumber', cell: { row: 0, column: 1 }, found: 'NaN', bound: null },
      'cell at Load 40 %: found NaN, expected a number. Type a value.',
    ],
    [
      'a value that the storage cannot hold',
      aTable({ storage: { type: 'u8', resolution: 0.5, offset: -20 } }),
      [150],
      { code: 'notStorable', cell: { row: 0, column: 0 }, found: 150, bound: 107.5 },
      'the value: found 150, but u8 storage holds -20 to 107.5 kPa. Choose a value within.',
    ],
    [
      'equal neighbours where the table must rise strictly',
      { ...line, monotone: [{ axis: 0, direction: 'rising', strict: true }] },
      [10, 10, 20],
      { code: 'notMonotone', cell: { row: 0, column: 1 }, found: 10, bound: 10 },
      'cell at Load 40 %: found 10, expected more than 10 kPa, its neighbour before. The table must be rising along Load; change one of the two.',
    ],
    [
      'a rise where the table must not rise along its first axis',
      { ...map, monotone: [{ axis: 0, direction: 'falling', strict: false }] },
      [9, 9, 9, 9, 8, 9.5],
      { code: 'notMonotone', cell: { row: 2, column: 1 }, found: 9.5, bound: 9 },
      'cell at Load 100 %, Input speed 2000 rpm: found 9.5, expected equal or less than 9 kPa, its neighbour before. The table must be falling along Load; change one of the two.',
    ],
    [
      'a step steeper than allowed along the second axis',
      { ...map, slopeLimits: [{ axis: 1, maxPerUnit: 0.1 }] },
      [0, 100, 100, 0, 0, 100.5],
      { code: 'tooSteep', cell: { row: 2, column: 1 }, found: 0.1005, bound: 0.1 },
      'cell at Load 100 %, Input speed 2000 rpm: found a step of 0.1005 kPa per rpm from its neighbour before (0 to 100.5), expected at most 0.1 kPa per rpm along Input speed. Bring the two closer.',
    ],
    [
      'values between storage steps, once, at the worst',
      line,
      [0.1, 10.2, 20.5],
      { code: 'storageLoss', severity: 'warning', cell: { row: 0, column: 1 }, found: 10.2, bound: 10 },
      'cell at Load 40 %: found 10.2, kept as 10 kPa in steps of 0.5; 2 of 3 cells lie between steps, this one by most. Round to a step if it matters.',
    ],
  ])('finds %s', (_, spec, values, expected, message) => {
    const findings = check(spec, values);
    expect(findings).toHaveLength(1);
    expect(findings[0]).toMatchObject({ severity: 'blocking', tableId: spec.id, variant: 'all', ...expected });
    expect(findings[0].message).toBe(`Table '${spec.id}', all, ${message}`);
  });

  it('compares neighbours of the right axis and counts each pair once', () => {
    const demanding: TableSpec = { ...map, monotone: [{ axis: 1, direction: 'rising', strict: true }] };
    expect(check(demanding, [5, 6, 3, 4, 1, 2])).toEqual([]);
    expect(check(demanding, [5, 5, 3, 4, 1, 0]).map((entry) => entry.cell)).toEqual([
      { row: 0, column: 1 },
      { row: 2, column: 1 },
    ]);
  });

  it('lets a slope meet its bound in decimal fractions', () => {
    const steep = (breakpoints: number[]): TableSpec => ({
      ...line,
      axes: [{ ...load, breakpoints }],
      storage: { type: 's16', resolution: 0.1, offset: 0 },
      slopeLimits: [{ axis: 0, maxPerUnit: 0.1 }],
    });
    // (0.3 − 0.2)/1 is 0.09999…, (0.8 − 0.7)/1 is 0.10000000000000009 in binary.
    expect(check(steep([0, 1]), [0.2, 0.3])).toEqual([]);
    expect(check(steep([0, 1]), [0.7, 0.8])).toEqual([]);
  });

  it('does not call decimal fractions of a step a loss', () => {
    const tenths = aTable({ storage: { type: 'u16', resolution: 0.1, offset: 0 }, limits: { min: 0, max: 6553.5 } });
    fc.assert(
      fc.property(fc.nat({ max: 65535 }), (step) => {
        expect(check(tenths, [step / 10])).toEqual([]);
      }),
    );
  });

  it.each([
    ['u8', 255],
    ['s8', 127],
    ['u16', 65535],
    ['s16', 32767],
    ['u32', 4294967295],
    ['s32', 2147483647],
    ['f32', 3.4028234663852886e38],
  ] as const)('accepts the largest value of %s storage and no more', (type, largest) => {
    const spec = aTable({ storage: { type, resolution: 1, offset: 0 }, limits: { min: -1e300, max: 1e300 } });
    expect(check(spec, [largest])).toEqual([]);
    expect(check(spec, [largest * 1.01 + 1]).filter((entry) => entry.code === 'notStorable')).toHaveLength(1);
  });

  it('blocks nothing in content within limits, and warns at most once per variant', () => {
    fc.assert(
      fc.property(anyContent, (content) => {
        const findings = checkContent(layout, platform, content);
        expect(findings.filter((entry) => entry.code !== 'storageLoss')).toEqual([]);
        const places = findings.map((entry) => `${entry.tableId} ${entry.variant}`);
        expect(new Set(places).size).toBe(places.length);
      }),
    );
  });
});

describe('checkContent on shape', () => {
  const whole = defaultContent(layout, platform);
  const withTable = (id: string, parts: Partial<TableContent>): RevisionContent => ({
    ...whole,
    tables: { ...whole.tables, [id]: { ...whole.tables[id], ...parts } },
  });
  const { offset: _, ...withoutOffset } = whole.tables;
  const { calm, ...withoutCalm } = whole.tables.byProgram.values;

  it.each<[string, RevisionContent, string, string]>([
    [
      'another layout version',
      { ...whole, layoutVersion: 2 },
      'otherLayout',
      'The content is for sandpiper, layout version 2; expected sandpiper, layout version 3. Choose that layout or move the content to it.',
    ],
    [
      'a missing table',
      { ...whole, tables: withoutOffset },
      'tableMissing',
      "Table 'offset' (Offset) is missing. Add it; its default is 0 kPa.",
    ],
    [
      'an unknown table',
      { ...whole, tables: { ...whole.tables, vent: { axes: [], values: { all: [1] } } } },
      'tableUnknown',
      "Table 'vent' is not in layout version 3. Remove it or mend its name.",
    ],
    [
      'a missing variant',
      withTable('byProgram', { values: withoutCalm }),
      'variantMissing',
      "Table 'byProgram' has no values for 'calm'. Add them; it holds one set per program.",
    ],
    [
      'an unknown variant',
      withTable('byProgram', { values: { ...withoutCalm, calm, tow: [1] } }),
      'variantUnknown',
      "Table 'byProgram' has values for 'tow', which is no program of the platform. Remove them; known are calm, brisk.",
    ],
    [
      'a missing axis',
      withTable('byFluid', { axes: [] }),
      'axisCount',
      "Table 'byFluid' has 0 axes, expected 1. Give it the layout's axes.",
    ],
    [
      'too few break points',
      withTable('byFluid', { axes: [[0, 90]], values: { all: [1, 1] } }),
      'breakpointCount',
      "Table 'byFluid', axis 'Fluid temperature': found 2 break points, expected 3. Their count is fixed by the layout.",
    ],
    [
      'break points out of order',
      withTable('byFluid', { axes: [[0, 90, 20]] }),
      'axisOrder',
      "Table 'byFluid', axis 'Fluid temperature', break point 3: found 20, expected a finite number above 90. Make the break points rise from first to last.",
    ],
    [
      'a moved break point of a fixed axis',
      withTable('hold', { axes: [[0, 45, 100]] }),
      'breakpointMoved',
      "Table 'hold', axis 'Load', break point 2: found 45, expected 40 %. The layout fixes this axis; set it back.",
    ],
    [
      'a wrong number of values',
      withTable('byFluid', { values: { all: [1, 1] } }),
      'valueCount',
      "Table 'byFluid', all: found 2 values, expected 3 for its axes. Give one value per cell.",
    ],
  ])('finds %s', (_title, content, code, message) => {
    const findings = checkContent(layout, platform, content);
    expect(findings.map((entry) => [entry.code, entry.severity, entry.message])).toEqual([[code, 'blocking', message]]);
  });

  it('accepts moved break points of an editable axis', () => {
    expect(checkContent(layout, platform, withTable('byFluid', { axes: [[-40, 0, 120]] }))).toEqual([]);
  });

  it('still checks the values of a table whose fixed axis was moved', () => {
    const moved = withTable('hold', {
      axes: [[0, 45, 100]],
      values: { ...whole.tables.hold.values, '1': [0, 1, 2001] },
    });
    expect(checkContent(layout, platform, moved).map((entry) => entry.code)).toEqual([
      'breakpointMoved',
      'aboveMaximum',
    ]);
  });

  it('does not take an inherited name for a table', () => {
    const odd = layoutOf(aTable({ id: 'constructor' }));
    const codes = checkContent(odd, platform, { ...whole, tables: {} }).map((entry) => entry.code);
    expect(codes).toEqual(['tableMissing']);
  });
});

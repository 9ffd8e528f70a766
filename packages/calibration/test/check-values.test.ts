import { describe, expect, it } from 'vitest';
import {
  type CoilSupply,
  checkContent,
  checkTable,
  copperResistanceOhm,
  DEFAULT_SEVERITIES,
  type Finding,
  type Layout,
  reachableCurrentA,
  resampleTable,
  type TableSpec,
} from '../src/index.js';
import { aTable, contentOf, layoutOf, platform } from './example.js';

const speed = {
  quantity: 'inputSpeed',
  title: 'Input speed',
  unit: 'rpm',
  breakpoints: [1000, 2000, 4000],
  editable: true,
} as const;

function check(spec: TableSpec, values: readonly number[], parent?: readonly number[]): Finding[] {
  const before = parent && contentOf(spec, parent);
  return checkContent(layoutOf(spec), platform, contentOf(spec, values), before);
}

describe('copperResistanceOhm', () => {
  // IEC 60028:1925, temperature coefficient 0.00393 per K referred to 20 °C; values of check-values.md 8.1.
  it.each([
    [5, -40, 3.821],
    [5, 20, 5],
    [5, 25, 5.098_25],
    [5, 80, 6.179],
    [5, 120, 6.965],
    [5.197_862, -40, 3.972_206],
    [5.197_862, 80, 6.423_518],
    [5.197_862, 120, 7.240_622],
  ])('gives a winding of %d Ω at 20 °C, held at %d °C, %d Ω', (resistanceOhm, temperatureC, expected) => {
    expect(copperResistanceOhm(resistanceOhm, temperatureC)).toBeCloseTo(expected, 5);
  });
});

describe('the reach of a coil', () => {
  const coil: CoilSupply = {
    resistanceOhm: 5,
    seriesResistanceOhm: 0.535,
    lowestVoltageV: 9,
    highestTemperatureC: 120,
  };
  const current = aTable({
    unit: 'A',
    axes: [speed],
    coil,
    limits: { min: 0, max: 2 },
    storage: { type: 'u16', resolution: 0.001, offset: 0 },
  });

  it('is the lowest voltage over the hottest winding and all in series', () => {
    // 9 V / (6.965 Ω + 0.535 Ω), with the resistance of check-values.md 8.1.
    expect(reachableCurrentA(coil)).toBeCloseTo(1.2, 9);
  });

  it('is passed by no current without a finding', () => {
    expect(check(current, [0, 0.6, 1.2])).toEqual([]);
    expect(check(current, [0, 0.6, 1.201])).toEqual([
      {
        code: 'notReachable',
        severity: 'blocking',
        tableId: 'offset',
        variant: 'all',
        cell: { row: 0, column: 2 },
        found: 1.201,
        bound: expect.closeTo(1.2, 9),
        message:
          "Table 'offset', all, cell at Input speed 4000 rpm: found 1.201, but at 9 V and 120 °C the coil carries at most 1.2 A. Lower the current.",
      },
    ]);
  });
});

describe('steps against the parent revision', () => {
  const table = aTable({ axes: [speed], limits: { min: -900, max: 900 }, stepBound: { absolute: 40, percent: 8 } });

  it.each<[string, TableSpec['stepBound'], number[], number[], [number, number][]]>([
    ['within both bounds', { absolute: 40, percent: 8 }, [100, 500, -500], [108, 460, -540], []],
    ['beyond the percentage', { absolute: 40, percent: 8 }, [100, 500, 500], [108.5, 500, 500], [[0, 108]]],
    ['beyond the absolute bound', { absolute: 40, percent: 8 }, [100, 800, 500], [100, 841, 500], [[1, 840]]],
    ['beyond a percentage of a value below 0', { percent: 10 }, [-100, 0, 0], [-111, 0, 0], [[0, -110]]],
    [
      'beyond both, downwards',
      { absolute: 5, percent: 50 },
      [100, 100, 4],
      [100, 94, 1.5],
      [
        [1, 95],
        [2, 2],
      ],
    ],
    ['from 0, of which there is no percentage', { percent: 1 }, [0, 0, 0], [900, 0, 0], []],
    ['from 0, with an absolute bound', { absolute: 10, percent: 1 }, [0, 0, 0], [-12, 0, 0], [[0, -10]]],
  ])('are found where a cell goes %s', (_, stepBound, parent, values, expected) => {
    const findings = check({ ...table, stepBound }, values, parent);
    expect(findings.map((entry) => [entry.code, entry.severity, entry.cell?.column, entry.bound])).toEqual(
      expected.map(([column, bound]) => ['stepTooLarge', 'warning', column, bound]),
    );
  });

  it('name the parent value, the bound and the remedy', () => {
    expect(check(table, [100, 541, 500], [100, 500, 500])[0].message).toBe(
      "Table 'offset', all, cell at Input speed 2000 rpm: found 541, expected at most 540 kPa after 500 in the parent revision (a step of 40 kPa or 8 %). Go there by more than one revision.",
    );
  });

  it('are not looked for without a parent, or with one of another layout version', () => {
    expect(check(table, [900, 900, 900])).toEqual([]);
    const parent = { ...contentOf(table, [0, 0, 0]), layoutVersion: 2 };
    expect(checkContent(layoutOf(table), platform, contentOf(table, [900, 900, 900]), parent)).toEqual([]);
  });

  it('are no steps where only break points moved and the table says the same', () => {
    const parent = contentOf(table, [100, 300, 700]);
    const { content } = resampleTable(table, parent.tables.offset, [[1000, 1500, 4000]]);
    const flat = contentOf({ ...table, stepBound: { absolute: 0.001 } }, content.values.all, [[1000, 1500, 4000]]);
    expect(checkContent(layoutOf(table), platform, flat, parent)).toEqual([]);
  });

  it('are taken at the new break points where those moved', () => {
    const parent = contentOf(table, [100, 300, 700]);
    // The parent says 200 at 1500 rpm; 300 stands there now.
    const moved = contentOf(table, [100, 300, 700], [[1000, 1500, 4000]]);
    expect(
      checkContent(layoutOf(table), platform, moved, parent).map((entry) => [entry.cell?.column, entry.bound]),
    ).toEqual([[1, 216]]);
  });
});

describe('severities of a layout', () => {
  it('are warnings for rounding, bold steps and hunting, and block otherwise', () => {
    const warnings = Object.entries(DEFAULT_SEVERITIES).filter(([, severity]) => severity === 'warning');
    expect(warnings.map(([check]) => check)).toEqual(['storageLoss', 'stepTooLarge', 'scheduleHunting']);
  });

  it('replace the default of the checks that they name', () => {
    const severities = { aboveMaximum: 'warning', storageLoss: 'blocking', stepTooLarge: 'blocking' } as const;
    const spec = aTable({ axes: [speed], limits: { min: 0, max: 100 }, stepBound: { absolute: 10 }, severities });
    const findings = check(spec, [120, 50.2, -1], [115, 20, 0]);
    expect(findings.map((entry) => [entry.code, entry.severity])).toEqual([
      ['aboveMaximum', 'warning'],
      ['belowMinimum', 'blocking'],
      ['storageLoss', 'blocking'],
      ['stepTooLarge', 'blocking'],
    ]);
  });

  it('never let through what is no number or cannot be stored', () => {
    const severities = Object.fromEntries(Object.keys(DEFAULT_SEVERITIES).map((check) => [check, 'warning'] as const));
    const spec = aTable({ axes: [speed], limits: { min: -1e6, max: 1e6 }, severities });
    const blocking = check(spec, [Number.NaN, 1e5, 0]).filter((entry) => entry.severity === 'blocking');
    expect(blocking.map((entry) => entry.code)).toEqual(['notANumber', 'notStorable']);
  });
});

describe('break points that the memory image keeps', () => {
  const table = aTable({ axes: [speed] });
  const stored: Layout = {
    ...layoutOf(table),
    image: {
      startAddress: 0,
      byteCount: 64,
      fill: 0,
      byteOrder: 'little',
      tables: [{ tableId: 'offset', address: 0 }],
      axes: [{ tableId: 'offset', axis: 0, address: 32, storage: { type: 'u8', resolution: 20, offset: 0 } }],
      checksums: [],
    },
  };

  it.each<[string, number[], [string, string, unknown, unknown][]]>([
    ['on steps and in range', [0, 2000, 5100], []],
    ['beyond the storage', [0, 2000, 5200], [['breakpointNotStorable', 'blocking', 5200, 5100]]],
    [
      'that round onto one another',
      [0, 1991, 2009],
      [
        ['breakpointNotStorable', 'blocking', 2009, 2000],
        ['breakpointLoss', 'warning', 1991, 2000],
      ],
    ],
    ['between steps', [0, 2001, 4008], [['breakpointLoss', 'warning', 4008, 4000]]],
  ])('are checked: %s', (_, axis, expected) => {
    const findings = checkContent(stored, platform, contentOf(table, [0, 0, 0], [axis]));
    expect(findings.map((entry) => [entry.code, entry.severity, entry.found, entry.bound])).toEqual(expected);
  });
});

describe('checkTable', () => {
  it('finds in one table what checkContent finds there', () => {
    const spec = aTable({ axes: [speed], stepBound: { absolute: 10 } });
    const [parent, content] = [contentOf(spec, [0, 0, 0]), contentOf(spec, [50, 201, Number.NaN])];
    const alone = checkTable(layoutOf(spec), platform, spec, content.tables.offset, parent.tables.offset);
    expect(alone).toEqual(checkContent(layoutOf(spec), platform, content, parent));
    expect(alone.map((entry) => entry.code)).toEqual(['aboveMaximum', 'notANumber', 'stepTooLarge', 'stepTooLarge']);
  });
});

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  type AxisSpec,
  checkContent,
  defaultContent,
  interpolate,
  type Layout,
  migrateContent,
  planMigration,
  type RevisionContent,
  type TableSpec,
} from '../src/index.js';
import { anAxis, anyContent, aTable, contentWith, layout, platform } from './example.js';
import { refusalOf } from './refusal.js';

const load: AxisSpec = { quantity: 'load', title: 'Load', unit: '%', breakpoints: [0, 40, 100], editable: false };
const fluid: AxisSpec = {
  quantity: 'fluidTemperature',
  title: 'Fluid temperature',
  unit: '°C',
  breakpoints: [-20, 20, 90],
  editable: true,
};

/** The example's layout as its next version with some tables changed. */
function next(change: (spec: TableSpec) => TableSpec | null, added: TableSpec[] = []): Layout {
  return {
    ...layout,
    version: 4,
    tables: [...layout.tables.flatMap((spec) => change(spec) ?? []), ...added],
    rules: [],
  };
}

const only = (id: string, parts: Partial<TableSpec>) => next((spec) => (spec.id === id ? { ...spec, ...parts } : spec));

/** Layouts of one table before and after. */
function oneTable(before: Partial<TableSpec>, after: Partial<TableSpec>): [Layout, Layout] {
  const of = (version: number, parts: Partial<TableSpec>): Layout => ({
    ...layout,
    version,
    tables: [aTable(parts)],
    rules: [],
  });
  return [of(1, before), of(2, { ...before, ...after })];
}

function migrate(from: Layout, to: Layout, values: Record<string, readonly number[]>, axes?: number[][]) {
  const start = defaultContent(from, platform);
  const { id } = from.tables[0];
  const content: RevisionContent = { ...start, tables: { [id]: { axes: axes ?? start.tables[id].axes, values } } };
  const plan = planMigration(from, to, platform);
  const { content: migrated, steps, findings } = migrateContent(plan, content);
  return {
    plan,
    steps,
    findings: findings.map((entry) => [entry.code, entry.severity]),
    table: migrated.tables[to.tables[0].id],
  };
}

describe('planMigration', () => {
  it('keeps what stays, adds, renames and removes', () => {
    const to = next(
      (spec) => (spec.id === 'offset' ? null : spec.id === 'hold' ? { ...spec, id: 'holding' } : spec),
      [aTable({ id: 'creep', defaultValue: 12 })],
    );
    const plan = planMigration(layout, to, platform, { hold: 'holding' });
    expect(plan.findings).toEqual([]);
    expect(plan.steps).toEqual([
      { kind: 'kept', tableId: 'base' },
      { kind: 'kept', tableId: 'byProgram' },
      { kind: 'kept', tableId: 'byFluid' },
      { kind: 'renamed', tableId: 'holding', oldId: 'hold' },
      { kind: 'kept', tableId: 'fillTime' },
      { kind: 'added', tableId: 'creep', defaultValue: 12 },
      { kind: 'removed', tableId: 'offset' },
    ]);
    const before = contentWith({ hold: { '2': [1, 2, 3] } });
    const { content, steps, findings } = migrateContent(plan, before);
    expect(steps).toEqual(plan.steps);
    expect(findings).toEqual([]);
    expect(content.layoutVersion).toBe(4);
    expect(content.tables.holding).toEqual(before.tables.hold);
    expect(content.tables.creep).toEqual({ axes: [], values: { all: [12] } });
    expect(Object.keys(content.tables)).toEqual(to.tables.map((spec) => spec.id));
  });

  it('takes a table for new whose id another one gave up', () => {
    const to = next((spec) => spec, [aTable({ id: 'extra' })]);
    const plan = planMigration(layout, to, platform, { offset: 'extra' });
    expect(plan.steps.slice(4)).toEqual([
      { kind: 'added', tableId: 'offset', defaultValue: 0 },
      { kind: 'kept', tableId: 'fillTime' },
      { kind: 'renamed', tableId: 'extra', oldId: 'offset' },
    ]);
  });

  it.each<[string, Layout, Record<string, string>, string, string]>([
    [
      'a changed unit',
      only('hold', { unit: 'bar' }),
      {},
      'unitChanged',
      "Table 'hold': was pressure in kPa, is to be pressure in bar; its numbers would mean something else. Give the new table an id of its own.",
    ],
    [
      'a changed unit of an axis',
      only('byFluid', { axes: [{ ...fluid, unit: 'K' }] }),
      {},
      'unitChanged',
      "Table 'byFluid', axis 'Fluid temperature': was fluidTemperature in °C, is to be fluidTemperature in K; its numbers would mean something else. Give the new table an id of its own.",
    ],
    [
      'another platform',
      { ...layout, platformId: 'dunlin' },
      {},
      'otherPlatform',
      "The layouts are for platforms 'sandpiper' and 'dunlin'. Choose two of one platform.",
    ],
    [
      'a new name for nothing',
      layout,
      { vent: 'hold' },
      'renameUnknown',
      "Table 'vent' is to be renamed, but layout version 3 has no such table.",
    ],
    [
      'a new name that nothing has',
      layout,
      { hold: 'holding' },
      'renameUnknown',
      "'hold' is to become 'holding', but layout version 3 has no such table.",
    ],
    [
      'one new name for two',
      layout,
      { hold: 'offset', offset: 'offset' },
      'renameUnknown',
      "More than one table is to become 'offset'. Choose one.",
    ],
  ])('finds %s, and such a plan moves nothing', (_, to, renames, code, message) => {
    const plan = planMigration(layout, to, platform, renames);
    expect(plan.findings.map((entry) => [entry.code, entry.severity, entry.message])).toEqual([
      [code, 'blocking', message],
    ]);
    expect(refusalOf(() => migrateContent(plan, defaultContent(layout, platform)))).toEqual([
      'migrationBlocked',
      `The content cannot be moved to the new layout. ${message}`,
    ]);
  });
});

describe('migrateContent', () => {
  it('reads values off at the new break points of a fixed axis and tells the largest error', () => {
    const [from, to] = oneTable(
      { axes: [load], limits: { min: 0, max: 900 } },
      { axes: [{ ...load, breakpoints: [0, 50, 80, 100] }] },
    );
    const { plan, steps, table } = migrate(from, to, { all: [0, 100, 160] });
    expect(plan.steps).toEqual([{ kind: 'resampled', tableId: 'offset', axes: [0], largestError: null }]);
    expect(table).toEqual({ axes: [[0, 50, 80, 100]], values: { all: [0, 110, 140, 160] } });
    // Without the knee at 40 % the line from (0, 0) to (50, 110) passes it at 88, which was 100.
    expect(steps).toEqual([
      {
        kind: 'resampled',
        tableId: 'offset',
        axes: [0],
        largestError: { error: 12, variant: 'all', coordinates: [40] },
      },
    ]);
  });

  it('keeps moved break points where the new axis may be moved too, whatever its defaults', () => {
    const [from, to] = oneTable({ axes: [fluid] }, { axes: [{ ...fluid, breakpoints: [-30, 0, 110] }] });
    const { plan, steps, table } = migrate(from, to, { all: [1, 2, 3] }, [[-25, 15, 95]]);
    expect(plan.steps).toEqual([{ kind: 'kept', tableId: 'offset' }]);
    expect(steps).toEqual(plan.steps);
    expect(table).toEqual({ axes: [[-25, 15, 95]], values: { all: [1, 2, 3] } });
  });

  it('does nothing to an axis that becomes fixed where its break points lie', () => {
    const [from, to] = oneTable({ axes: [fluid] }, { axes: [{ ...fluid, editable: false }] });
    const { plan, steps } = migrate(from, to, { all: [1, 2, 3] });
    expect(plan.steps).toEqual([{ kind: 'resampled', tableId: 'offset', axes: [0], largestError: null }]);
    expect(steps).toEqual([{ kind: 'kept', tableId: 'offset' }]);
  });

  it.each<
    [string, Partial<TableSpec>, Partial<TableSpec>, Record<string, number[]>, Record<string, number[]>, unknown]
  >([
    [
      'a table that gains programs: each gets the values',
      { repeat: 'upshift' },
      { byProgram: true },
      { '1-2': [5], '2-3': [6] },
      { '1-2/calm': [5], '1-2/brisk': [5], '2-3/calm': [6], '2-3/brisk': [6] },
      [
        {
          kind: 'variantsCopied',
          tableId: 'offset',
          copies: [
            { from: ['1-2'], to: '1-2/calm' },
            { from: ['1-2'], to: '1-2/brisk' },
            { from: ['2-3'], to: '2-3/calm' },
            { from: ['2-3'], to: '2-3/brisk' },
          ],
        },
      ],
    ],
    [
      'a single table that becomes one per upshift',
      {},
      { repeat: 'upshift' },
      { all: [7] },
      { '1-2': [7], '2-3': [7] },
      [
        {
          kind: 'variantsCopied',
          tableId: 'offset',
          copies: [
            { from: ['all'], to: '1-2' },
            { from: ['all'], to: '2-3' },
          ],
        },
      ],
    ],
    [
      'a table per program that becomes one per upshift and program',
      { repeat: 'program' },
      { repeat: 'upshift', byProgram: true },
      { calm: [1], brisk: [2] },
      { '1-2/calm': [1], '1-2/brisk': [2], '2-3/calm': [1], '2-3/brisk': [2] },
      expect.anything(),
    ],
    [
      'a table per shift that is kept for upshifts only',
      { repeat: 'shift' },
      { repeat: 'upshift' },
      { '1-2': [1], '2-3': [2], '3-2': [3], '3-1': [4] },
      { '1-2': [1], '2-3': [2] },
      [{ kind: 'kept', tableId: 'offset' }],
    ],
    [
      'programs that agree and are given up',
      { repeat: 'upshift', byProgram: true },
      { byProgram: false },
      { '1-2/calm': [1], '1-2/brisk': [1], '2-3/calm': [2], '2-3/brisk': [2] },
      { '1-2': [1], '2-3': [2] },
      [
        {
          kind: 'variantsCopied',
          tableId: 'offset',
          copies: [
            { from: ['1-2/calm', '1-2/brisk'], to: '1-2' },
            { from: ['2-3/calm', '2-3/brisk'], to: '2-3' },
          ],
        },
      ],
    ],
  ])('carries %s', (_, before, after, values, expected, steps) => {
    const result = migrate(...oneTable(before, after), values);
    expect(result.findings).toEqual([]);
    expect(result.table.values).toEqual(expected);
    expect(result.steps).toEqual(steps);
    expect(result.plan.steps).toEqual(steps);
  });

  it.each<
    [string, Partial<TableSpec>, Partial<TableSpec>, Record<string, number[]>, Record<string, number[]>, string[]]
  >([
    [
      'downshifts that an upshift table gains',
      { repeat: 'upshift' },
      { repeat: 'shift' },
      { '1-2': [5], '2-3': [6] },
      { '1-2': [5], '2-3': [6], '3-2': [9], '3-1': [9] },
      ['3-2', '3-1'],
    ],
    [
      'a program table that becomes one per gear, whose programs disagree',
      { repeat: 'program' },
      { repeat: 'gear' },
      { calm: [1], brisk: [2] },
      { '1': [9], '2': [9], '3': [9] },
      ['1', '2', '3'],
    ],
    [
      'programs that disagree and are given up',
      { repeat: 'upshift', byProgram: true },
      { byProgram: false },
      { '1-2/calm': [1], '1-2/brisk': [1], '2-3/calm': [2], '2-3/brisk': [3] },
      { '1-2': [1], '2-3': [9] },
      ['2-3'],
    ],
  ])('gives the default and a warning to %s', (_, before, after, values, expected, defaulted) => {
    const result = migrate(...oneTable({ ...before, defaultValue: 9 }, after), values);
    expect(result.findings).toEqual([['variantDefaulted', 'warning']]);
    expect(result.table.values).toEqual(expected);
    expect(result.steps).toContainEqual({
      kind: 'variantsDefaulted',
      tableId: 'offset',
      variants: defaulted,
      defaultValue: 9,
    });
  });

  it('repeats values along a new axis, and turns the table where the axes change places', () => {
    const wide = { axes: [load, fluid] };
    expect(migrate(...oneTable({ axes: [fluid] }, wide), { all: [1, 2, 3] }).table.values.all).toEqual([
      1, 2, 3, 1, 2, 3, 1, 2, 3,
    ]);
    expect(migrate(...oneTable({ axes: [load] }, wide), { all: [1, 2, 3] }).table.values.all).toEqual([
      1, 1, 1, 2, 2, 2, 3, 3, 3,
    ]);
    expect(migrate(...oneTable({ axes: [] }, { axes: [load] }), { all: [4] }).table.values.all).toEqual([4, 4, 4]);
    const turned = migrate(
      ...oneTable(
        { axes: [{ ...load, breakpoints: [0, 100] }, fluid] },
        { axes: [fluid, { ...load, breakpoints: [0, 100] }] },
      ),
      {
        all: [1, 2, 3, 4, 5, 6],
      },
    );
    expect(turned.table.values.all).toEqual([1, 4, 2, 5, 3, 6]);
    expect(turned.steps).toEqual([
      { kind: 'axesArranged', tableId: 'offset', quantities: ['fluidTemperature', 'load'] },
    ]);
  });

  it('gives the default and a warning to a table that loses an axis', () => {
    const result = migrate(...oneTable({ axes: [load, fluid], defaultValue: 3 }, { axes: [fluid] }), {
      all: [1, 2, 3, 4, 5, 6, 7, 8, 9],
    });
    expect(result.findings).toEqual([['axisDropped', 'warning']]);
    expect(result.table).toEqual({ axes: [[-20, 20, 90]], values: { all: [3, 3, 3] } });
    expect(result.steps).toEqual([{ kind: 'added', tableId: 'offset', defaultValue: 3 }]);
  });

  it('clips nothing: a value outside the new limits is a finding', () => {
    const result = migrate(...oneTable({ axes: [load] }, { limits: { min: -10, max: 100 } }), { all: [0, 100, 150] });
    expect(result.table.values.all).toEqual([0, 100, 150]);
    expect(result.findings).toEqual([['aboveMaximum', 'blocking']]);
  });

  it('is refused for content of another version', () => {
    const plan = planMigration(layout, only('hold', {}), platform);
    expect(refusalOf(() => migrateContent(plan, { ...defaultContent(layout, platform), layoutVersion: 2 }))[0]).toBe(
      'otherLayout',
    );
  });

  it('changes nothing but the version between equal layouts', () => {
    const plan = planMigration(layout, { ...layout, version: 4 }, platform);
    fc.assert(
      fc.property(anyContent, (content) => {
        const migrated = migrateContent(plan, content);
        expect(migrated.content).toEqual({ ...content, layoutVersion: 4 });
        expect(migrated.steps.every((step) => step.kind === 'kept')).toBe(true);
      }),
      { numRuns: 30 },
    );
  });

  it('says the same as before at every point when break points are only added', () => {
    const extra = fc.tuple(anAxis({ min: 1, max: 4 }), anAxis({ min: 1, max: 4 }));
    const place = fc.tuple(
      fc.double({ min: -50, max: 150, noNaN: true }),
      fc.double({ min: 0, max: 7000, noNaN: true }),
    );
    fc.assert(
      fc.property(anyContent, extra, place, (content, [loads, speeds], at) => {
        const denser = (axis: readonly number[], more: readonly number[]) =>
          [...new Set([...axis, ...more])].sort((a, b) => a - b);
        const old = content.tables.base;
        const to = next((spec) =>
          spec.id === 'base'
            ? {
                ...spec,
                axes: spec.axes.map((axis, i) => ({
                  ...axis,
                  editable: false,
                  breakpoints: denser(old.axes[i], [loads, speeds][i]),
                })),
              }
            : spec,
        );
        const { content: migrated, steps } = migrateContent(planMigration(layout, to, platform), content);
        const { axes, values } = migrated.tables.base;
        expect(interpolate(axes, values['1-2'], at)).toBeCloseTo(interpolate(old.axes, old.values['1-2'], at), 6);
        for (const step of steps)
          if (step.kind === 'resampled') expect(step.largestError?.error ?? 0).toBeLessThan(1e-6);
        expect(
          checkContent(to, platform, migrated).filter(
            (entry) => entry.severity === 'blocking' && entry.tableId !== 'base',
          ),
        ).toEqual([]);
      }),
      { numRuns: 40 },
    );
  });
});

import { performance } from 'node:perf_hooks';
import {
  applyDifference,
  checkContent,
  checkTable,
  compileRule,
  contentHash,
  defaultContent,
  differenceOf,
  evaluateRule,
  interpolateCells,
  type Layout,
  mergeContents,
  moveBreakpoint,
  type Platform,
  type RevisionContent,
  replaySchedule,
  resolveMerge,
  setCells,
  smoothCells,
  type TableSpec,
  wholeGrid,
} from '../src/index.js';

const RUNS = 9;

const platform: Platform = {
  id: 'bench',
  title: 'Bench',
  gears: [
    { gear: 1, ratio: 3, applied: [] },
    { gear: 2, ratio: 2, applied: [] },
  ],
  clutches: [],
  shifts: [
    { id: '1-2', from: 1, to: 2 },
    { id: '2-1', from: 2, to: 1 },
  ],
  programs: [],
  dialects: [],
  ratedInputTorqueNm: 300,
  inputInertiaKgM2: 0.1,
};

console.log(`calibration, Node ${process.version}, median of ${RUNS} runs (fastest to slowest)`);
for (const tableCount of [20, 200]) compareRevisions(tableCount);
editTable();
for (const tableCount of [20, 200]) merge(tableCount);
for (const callCount of [20_000, 200_000]) evaluate(callCount);
for (const sampleCount of [100_000, 1_000_000]) replay(sampleCount);

/** Two revisions that differ in one cell of every table of 64 × 64. */
function compareRevisions(tableCount: number): void {
  const layout = aLayout(tableCount, 64);
  const base = defaultContent(layout, platform);
  const other = changed(base);
  const name = `${tableCount} tables of 64 × 64`;
  const differences = measure(`difference of two revisions, ${name}`, () =>
    differenceOf(layout, platform, base, other),
  );
  assertEqual(differences.length, tableCount);
  assertEqual(contentHash(applyDifference(base, differences)), contentHash(other));
  measure(`check of one revision, ${name}`, () => assertEqual(checkContent(layout, platform, other).length, 0));
  measure(`hash of one revision, ${name}`, () => contentHash(other));
}

/** What a page does between two key strokes: an edit of a whole table of 64 × 64 with every check on, and its checks. */
function editTable(): void {
  const { tables, ...layout } = aLayout(1, 64);
  const [spec]: TableSpec[] = tables.map((table) => ({
    ...table,
    axes: table.axes.map((axis) => ({ ...axis, editable: true })),
    monotone: [
      { axis: 0, direction: 'rising', strict: false },
      { axis: 1, direction: 'rising', strict: false },
    ],
    slopeLimits: [
      { axis: 0, maxPerUnit: 1 },
      { axis: 1, maxPerUnit: 1 },
    ],
    stepBound: { absolute: 1, percent: 50 },
  }));
  const parent = defaultContent({ ...layout, tables: [spec] }, platform).tables.table0;
  const grid = { axes: parent.axes, values: parent.values.all };
  const all = wholeGrid(grid.axes);
  const measureEdit = (name: string, edit: () => number[], findingCount: number) => {
    measure(`${name} of 64 × 64`, edit);
    measure(`${name} of 64 × 64 and check of the table`, () => {
      const table = { axes: grid.axes, values: { all: edit() } };
      assertEqual(checkTable({ ...layout, tables: [spec] }, platform, spec, table, parent).length, findingCount);
    });
  };
  measureEdit('set', () => setCells(grid, all, 1.5), 0);
  measureEdit('interpolation', () => interpolateCells(grid, all, 'both'), 0);
  measureEdit('smoothing', () => smoothCells(grid, all), 0);
  measureEdit('set beyond every bound', () => setCells(grid, all, 51), 2 * 64 * 64);
  measure('break point of 64 × 64 moved', () => moveBreakpoint(spec, parent, 0, 30, parent.axes[0][30] + 0.1));
}

/** Two lines of work that changed other cells of every table, and one cell differently. */
function merge(tableCount: number): void {
  const layout = aLayout(tableCount, 64);
  const base = defaultContent(layout, platform);
  const [ours, theirs] = [changed(base, 1.5), changed(changed(base, 1.6), 1.4, 1)];
  const name = `${tableCount} tables of 64 × 64`;
  const merged = measure(`merge, ${name}`, () => mergeContents(layout, platform, base, ours, theirs));
  assertEqual(merged.conflicts.length, tableCount);
  assertEqual(merged.taken.theirs, tableCount);
  const choices = Object.fromEntries(merged.conflicts.map(({ id }) => [id, 'ours' as const]));
  measure(`its conflicts resolved, ${name}`, () => resolveMerge(merged, choices));
}

/** A drive of 100 Hz that speeds up and slows down for hours. */
function replay(sampleCount: number): void {
  const axes = [
    { quantity: 'pedal', title: 'Pedal', unit: '%', breakpoints: [0, 25, 50, 75, 100], editable: false },
  ] as const;
  const [line] = aLayout(1, 2).tables.map((table) => ({ ...table, unit: 'rpm', axes }));
  const layout: Layout = {
    ...aLayout(0, 2),
    tables: [
      { ...line, id: 'up', repeat: 'upshift', defaultValue: 1500 },
      { ...line, id: 'down', repeat: 'downshift', defaultValue: 1000 },
    ],
    schedules: [
      {
        id: 'drive',
        title: 'Drive',
        upTable: 'up',
        downTable: 'down',
        minHysteresisRpm: 0,
        minInputSpeedRpm: 0,
        maxInputSpeedRpm: 9000,
      },
    ],
  };
  const drive = {
    timeS: Float64Array.from({ length: sampleCount }, (_, i) => i / 100),
    pedal: Float64Array.from({ length: sampleCount }, (_, i) => (i * 0.37) % 100),
    outputSpeed: Float64Array.from({ length: sampleCount }, (_, i) => 1250 - 1000 * Math.cos((2 * Math.PI * i) / 5000)),
    gear: new Int8Array(sampleCount).fill(1),
  };
  const content = defaultContent(layout, platform);
  const { shifts } = measure(`replay of a schedule over ${sampleCount} samples`, () =>
    replaySchedule(layout, platform, content, 'drive', drive),
  );
  assertEqual(shifts.length, (2 * sampleCount) / 5000);
}

/** A product of three tables at places that walk across the map. */
function evaluate(callCount: number): void {
  const layout = aLayout(3, 16);
  const content = changed(defaultContent(layout, platform));
  const commanded = compileRule(layout, content, 'product', {});
  const pointAt = (i: number) => ({ load: (i * 7.3) % 110, inputSpeed: 700 + ((i * 131) % 6000) });
  const compiled = measure(`compiled product of three tables, ${callCount} calls`, () => {
    let sum = 0;
    for (let i = 0; i < callCount; i++) sum += commanded(pointAt(i));
    return sum;
  });
  const plain = measure(`plain product of three tables, ${callCount} calls`, () => {
    let sum = 0;
    for (let i = 0; i < callCount; i++) sum += evaluateRule(layout, content, 'product', pointAt(i)).value;
    return sum;
  });
  assertEqual(compiled, plain);
}

function aLayout(tableCount: number, size: number): Layout {
  const axis = (start: number, end: number) =>
    Array.from({ length: size }, (_, i) => start + ((end - start) * i * i) / (size - 1) ** 2);
  const tables = Array.from(
    { length: tableCount },
    (_, i): TableSpec => ({
      id: `table${i}`,
      title: `Table ${i}`,
      quantity: 'factor',
      unit: '',
      repeat: 'once',
      axes: [
        { quantity: 'load', title: 'Load', unit: '%', breakpoints: axis(0, 100), editable: false },
        { quantity: 'inputSpeed', title: 'Input speed', unit: 'rpm', breakpoints: axis(700, 6500), editable: false },
      ],
      storage: { type: 'u16', resolution: 0.001, offset: 0 },
      limits: { min: 0, max: 50 },
      monotone: [],
      slopeLimits: [],
      defaultValue: 1.25,
    }),
  );
  const rule = {
    id: 'product',
    title: 'Product',
    unit: '',
    kind: 'product',
    tables: ['table0', 'table1', 'table2'].slice(0, tableCount),
  } as const;
  return { platformId: platform.id, version: 1, title: 'Bench', tables, rules: [rule] };
}

function changed(content: RevisionContent, value = 1.5, offset = 0): RevisionContent {
  const tables = Object.entries(content.tables).map(([id, table], i) => {
    const values = table.values.all.with((i * 37 + offset) % table.values.all.length, value);
    return [id, { ...table, values: { all: values } }] as const;
  });
  return { ...content, tables: Object.fromEntries(tables) };
}

function measure<T>(name: string, work: () => T): T {
  let result = work();
  const times: number[] = [];
  for (let run = 0; run < RUNS; run++) {
    const start = performance.now();
    result = work();
    times.push(performance.now() - start);
  }
  times.sort((a, b) => a - b);
  const [fastest, median, slowest] = [times[0], times[RUNS >> 1], times[RUNS - 1]].map((ms) => ms.toFixed(1));
  console.log(
    `${name}: ${median} ms (${fastest} to ${slowest}), heap ${Math.round(process.memoryUsage().heapUsed / 2 ** 20)} MiB`,
  );
  return result;
}

function assertEqual<T>(found: T, expected: T): void {
  if (found !== expected)
    throw new Error(`The benchmark computed ${String(found)} where ${String(expected)} is right.`);
}

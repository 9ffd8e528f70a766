import { performance } from 'node:perf_hooks';
import {
  applyDifference,
  checkContent,
  compileRule,
  contentHash,
  defaultContent,
  differenceOf,
  evaluateRule,
  type Layout,
  type Platform,
  type RevisionContent,
  type TableSpec,
} from '../src/index.js';

const RUNS = 9;

const platform: Platform = {
  id: 'bench',
  title: 'Bench',
  gears: [],
  clutches: [],
  shifts: [],
  programs: [],
  dialects: [],
  ratedInputTorqueNm: 300,
  inputInertiaKgM2: 0.1,
};

console.log(`calibration, Node ${process.version}, median of ${RUNS} runs (fastest to slowest)`);
for (const tableCount of [20, 200]) compareRevisions(tableCount);
for (const callCount of [20_000, 200_000]) evaluate(callCount);

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
    tables: ['table0', 'table1', 'table2'],
  } as const;
  return { platformId: platform.id, version: 1, title: 'Bench', tables, rules: [rule] };
}

function changed(content: RevisionContent): RevisionContent {
  const tables = Object.entries(content.tables).map(([id, table], i) => {
    const values = table.values.all.with((i * 37) % table.values.all.length, 1.5);
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

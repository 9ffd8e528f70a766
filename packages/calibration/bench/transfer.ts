import { performance } from 'node:perf_hooks';
import {
  buildImage,
  crc16CcittFalse,
  crc32,
  defaultContent,
  importContent,
  type Layout,
  type Platform,
  readImage,
  type TableSpec,
  writeDocument,
  writeIntelHex,
  writeSRecord,
  writeTables,
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
const about = {
  calibrationTitle: 'Bench',
  revisionNumber: 1,
  message: 'as it is',
  authorName: 'Thrift',
  createdAt: '2026-03-01T09:00:00Z',
};

console.log(`import and export, Node ${process.version}, median of ${RUNS} runs (fastest to slowest)`);
for (const tableCount of [8, 128]) measureTransfer(tableCount);

/** Tables of 64 × 64 in 16 bits: 8 KiB of image each. */
function measureTransfer(tableCount: number): void {
  const layout = aLayout(tableCount);
  const content = defaultContent(layout, platform);
  const image = buildImage(layout, platform, content);
  const size = `image of ${image.bytes.length / 1024} KiB`;
  measure(`CRC-32, ${size}`, () => crc32(image.bytes));
  measure(`CRC-16, ${size}`, () => crc16CcittFalse(image.bytes));
  measure(`build, ${size}`, () => buildImage(layout, platform, content));
  measure(`read, ${size}`, () => assertEqual(readImage(layout, platform, image).kind, 'read'));
  const files = {
    'Intel HEX': () => writeIntelHex(image),
    'S-records': () => writeSRecord(image),
    CSV: () => writeTables({ layout, platform, content }),
    document: () => writeDocument({ layout, content, about }),
  };
  for (const [name, write] of Object.entries(files)) {
    const bytes = new TextEncoder().encode(measure(`write ${name}, ${size}`, write));
    measure(`import ${name}, ${size}`, () => assertEqual(importContent({ layout, platform, bytes }).kind, 'content'));
  }
}

function aLayout(tableCount: number): Layout {
  const axis = (end: number) => Array.from({ length: 64 }, (_, i) => (end * i) / 63);
  const tables = Array.from({ length: tableCount }, (_, i): TableSpec => {
    return {
      id: `table${i}`,
      title: `Table ${i}`,
      quantity: 'pressure',
      unit: 'kPa',
      repeat: 'once',
      axes: [
        { quantity: 'load', title: 'Load', unit: '%', breakpoints: axis(100), editable: false },
        { quantity: 'inputSpeed', title: 'Input speed', unit: 'rpm', breakpoints: axis(6500), editable: false },
      ],
      storage: { type: 'u16', resolution: 0.1, offset: 0 },
      limits: { min: 0, max: 1200 },
      monotone: [],
      slopeLimits: [],
      defaultValue: 300.1,
    };
  });
  const image = {
    startAddress: 0x801_0000,
    byteCount: tableCount * 8192 + 1024,
    fill: 0xff,
    byteOrder: 'big',
    tables: tables.map(({ id }, i) => ({ tableId: id, address: 0x801_0000 + i * 8192 })),
    axes: [],
    checksums: [
      { kind: 'crc32', from: 0x801_0000, to: 0x801_0000 + tableCount * 8192, address: 0x801_0000 + tableCount * 8192 },
    ],
  } as const;
  return { platformId: platform.id, version: 1, title: 'Bench', tables, rules: [], image };
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
  const heap = Math.round(process.memoryUsage().heapUsed / 2 ** 20);
  console.log(`${name}: ${median} ms (${fastest} to ${slowest}), heap ${heap} MiB`);
  return result;
}

function assertEqual<T>(found: T, expected: T): void {
  if (found !== expected) throw new Error(`The benchmark found ${String(found)} where ${String(expected)} is right.`);
}

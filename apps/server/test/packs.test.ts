import { mkdtempSync, rmSync, truncateSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { Packer, unpacked } from '../src/workers/packs.js';
import { someShifts } from './support/driven-fleet.js';

let folder: string;
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'syncline-packs-'));
});
afterAll(() => rmSync(folder, { recursive: true }));

it.each([0, 1, 63, 64, 65, 1000])('%i shifts come out of their packs as they went in', (count) => {
  const shifts = someShifts(count);
  const packer = new Packer<(typeof shifts)[number]>(join(folder, String(count)));
  for (const shift of shifts) packer.add(shift);
  const packs = packer.result();
  expect([...unpacked(packs)]).toStrictEqual(shifts);
  expect(packs.sizes).toHaveLength(Math.ceil(count / 64));
});

it('packs that were cut off are no shorter drive', () => {
  const packer = new Packer<object>(join(folder, 'cut'));
  for (const shift of someShifts(300)) packer.add(shift);
  const packs = packer.result();
  truncateSync(packs.path, packs.sizes[0]! + 1);
  expect(() => [...unpacked(packs)]).toThrow(/ends before/);
});

import { expect, it } from 'vitest';
import { ShiftPacker, unpackShifts } from '../src/workers/packed-shifts.js';
import { someShifts } from './support/driven-fleet.js';

it.each([0, 1, 255, 256, 257, 1000])('%i shifts come out of their packs as they went in', (count) => {
  const shifts = someShifts(count);
  const packer = new ShiftPacker();
  for (const shift of shifts) packer.add(shift);
  const packs = packer.result();
  expect([...unpackShifts(packs)]).toStrictEqual(shifts);
  expect(packer.result()).toHaveLength(packs.length);
});

import { readdirSync, readFileSync } from 'node:fs';
import fc from 'fast-check';
import { expect, it } from 'vitest';
import { LogFormatError, recogniseFormat } from '../src/index.js';
import { bytesOf, readLog } from './read-log.js';

const folder = new URL('./samples/', import.meta.url);
const samples = readdirSync(folder)
  .filter((file) => file.endsWith('.csv'))
  .map((file) => new Uint8Array(readFileSync(new URL(file, folder))));

/** Whether the bytes are read as they must be or refused; throws on anything else. A sample takes two bytes at least. */
function isReadOrRefused(bytes: Uint8Array): boolean {
  try {
    const log = readLog(bytes, { batchSize: 16 });
    const isWhole = Object.values(log.signals).every((values) => values.length === log.timeS.length);
    return isWhole && log.timeS.length <= bytes.length / 2;
  } catch (error) {
    if (error instanceof LogFormatError) return true;
    throw error;
  }
}

it('any bytes are read or refused with a reason', () => {
  const property = fc.property(fc.uint8Array({ maxLength: 400 }), (bytes) => {
    expect(recogniseFormat(bytes).reason).not.toBe('');
    expect(isReadOrRefused(bytes)).toBe(true);
  });
  fc.assert(property, { numRuns: 300, seed: 1 });
});

it('any text made of the letters of CSV is read or refused with a reason', () => {
  const letter = fc.constantFrom(...'0123456789.,;\t"\n\r #-+eE:TZaµ'.split(''), 'time', 'rpm', '\n0,', '\ufeff');
  const property = fc.property(fc.array(letter, { maxLength: 200 }), (letters) => {
    expect(isReadOrRefused(bytesOf(`time,turbine\n0,1\n${letters.join('')}`))).toBe(true);
  });
  fc.assert(property, { numRuns: 300, seed: 2 });
});

it('a sample with flipped, lost, doubled and foreign bytes is read or refused with a reason', () => {
  const change = fc.record<Change>({
    kind: fc.constantFrom<Change['kind'][]>('flip', 'cut', 'double', 'insert'),
    at: fc.double({ min: 0, max: 1, noNaN: true }),
    length: fc.integer({ min: 1, max: 40 }),
    byte: fc.nat(255),
  });
  const changes = fc.array(change, { minLength: 1, maxLength: 6 });
  const property = fc.property(fc.constantFrom(...samples), changes, (sample, list) => {
    expect(isReadOrRefused(list.reduce(damaged, sample))).toBe(true);
  });
  fc.assert(property, { numRuns: 400, seed: 3 });
});

function damaged(bytes: Uint8Array, { kind, at, length, byte }: Change): Uint8Array {
  const start = Math.floor(at * bytes.length);
  const end = Math.min(bytes.length, start + length);
  const part = bytes.slice(start, end);
  const replacement = {
    flip: [byte],
    cut: [],
    double: [...part, ...part],
    insert: [...new Uint8Array(length).fill(byte), ...part],
  }[kind];
  return Uint8Array.from([...bytes.slice(0, start), ...replacement, ...bytes.slice(end)]);
}

interface Change {
  readonly kind: 'flip' | 'cut' | 'double' | 'insert';
  /** Place in the file, 0 to 1. */
  readonly at: number;
  readonly length: number;
  readonly byte: number;
}
